"""Today in the shop: what arrives, what must be seen first, who has logged none."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, expect
from pytest_django import DjangoAssertNumQueries

from coursework.models import Coupon, Enrolment, Exercise, Section, User
from tests.conftest import OpenPage
from tests.factories import (
    MOMENT,
    EnrolmentFactory,
    clean_document,
    grade_coupon,
    hand_in_coupon,
)

type ClientOf = Callable[[User], Client]


def address(section: Section) -> str:
    return reverse("coursework:today", args=[section.pk])


def unsafe(enrolment: Enrolment, exercise: Exercise, at: datetime = MOMENT) -> Coupon:
    solvent = [{"step": "degrease", "agent": "chlorinated", "tool": "shop_rag"}]
    return hand_in_coupon(enrolment, exercise, clean_document(exercise, cleaning=solvent), at=at)


@pytest.fixture
def today() -> Any:
    """Let it be the afternoon of MOMENT."""
    with time_machine.travel(MOMENT + timedelta(hours=2), tick=False):
        yield


def body(client: Client, section: Section, **asked: str) -> str:
    answer = client.get(address(section), asked)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


@pytest.mark.postgres
def test_safety_stops_come_first_then_todays_coupons_the_newest_first(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise, today: None
) -> None:
    hand_in_coupon(enrolment, exercise, at=MOMENT - timedelta(days=1))
    old = unsafe(enrolment, exercise, at=MOMENT - timedelta(days=5))
    first = hand_in_coupon(enrolment, exercise)
    second = hand_in_coupon(enrolment, exercise, at=MOMENT + timedelta(hours=1))
    text = body(client_of(instructor), enrolment.section)
    places = [
        text.index(part)
        for part in (
            f'id="stop-{old.pk}"',
            "2 coupons today",
            f'id="coupon-{second.pk}"',
            f'id="coupon-{first.pk}"',
        )
    ]
    assert places == sorted(places)
    assert text.count('class="coupon-number"') == 2
    assert reverse("coursework:grade", args=[second.public_id]) in text


def test_today_begins_at_midnight_by_the_clock_of_the_school(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    # 03:30 UTC on Tuesday is Monday evening in Chicago.
    evening = datetime(2026, 9, 15, 3, 30, tzinfo=UTC)
    hand_in_coupon(enrolment, exercise, at=MOMENT)
    with time_machine.travel(evening, tick=False):
        assert "1 coupon today" in body(client_of(instructor), enrolment.section)
    with time_machine.travel(evening + timedelta(hours=2), tick=False):
        assert "0 coupons today" in body(client_of(instructor), enrolment.section)


def test_who_has_not_logged_today_is_listed(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    classmate: User,
    exercise: Exercise,
    today: None,
) -> None:
    left = EnrolmentFactory.create(section=enrolment.section, left_at=MOMENT)
    browser = client_of(instructor)
    hand_in_coupon(enrolment, exercise)
    text = body(browser, enrolment.section)
    without = text[text.index('id="without"') :]
    assert str(classmate) in without
    assert "Ansa Quill" not in without
    assert str(left.user) not in without
    hand_in_coupon(Enrolment.objects.get(user=classmate), exercise)
    assert "Everybody has logged." in body(browser, enrolment.section)


def test_a_page_that_looks_again_gets_what_is_new_and_nothing_where_nothing_is(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise, today: None
) -> None:
    coupon = unsafe(enrolment, exercise)
    browser = client_of(instructor)
    htmx = {"HX-Request": "true"}

    def seen() -> str:
        return str(browser.get(address(enrolment.section)).context["seen"])

    def looks_again(before: str) -> int:
        asked = {"seen": before}
        return browser.get(address(enrolment.section), asked, headers=htmx).status_code

    before = seen()
    assert looks_again(before) == 204
    hand_in_coupon(enrolment, exercise)
    assert looks_again(before) == 200
    before = seen()
    grade_coupon(coupon, instructor, level=1, decision="returned")
    assert looks_again(before) == 200
    part = browser.get(address(enrolment.section), {"seen": ""}, headers=htmx).content.decode()
    assert part.lstrip().startswith("<div")
    assert "<html" not in part


def test_it_costs_a_bounded_number_of_queries(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
    today: None,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    browser = client_of(instructor)
    for _each in range(4):
        student = EnrolmentFactory.create(section=enrolment.section)
        hand_in_coupon(student, exercise)
        unsafe(student, exercise)
    with django_assert_max_num_queries(11):
        browser.get(address(enrolment.section))


@pytest.mark.django_db(transaction=True)
def test_the_open_page_looks_again_while_it_is_seen_and_rests_while_it_is_hidden(
    open_page: OpenPage,
    sign_in: Callable[[Page, object], None],
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
) -> None:
    page = open_page(viewport={"width": 390, "height": 800})
    sign_in(page, instructor)
    page.clock.install()
    page.goto(address(enrolment.section))
    expect(page.get_by_text("0 coupons today")).to_be_visible()
    hidden = "Object.defineProperty(document, 'visibilityState', {value: %r, configurable: true})"
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.evaluate(hidden % "hidden")
    hand_in_coupon(enrolment, exercise, at=datetime.now(UTC))
    page.clock.fast_forward("01:00")
    assert asked == []
    page.evaluate(hidden % "visible")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.get_by_text("1 coupon today")).to_be_visible()
    hand_in_coupon(enrolment, exercise, at=datetime.now(UTC))
    page.clock.fast_forward("00:16")
    expect(page.get_by_text("2 coupons today")).to_be_visible()


@pytest.mark.django_db(transaction=True)
def test_without_script_a_link_looks_again(
    open_page: OpenPage,
    sign_in: Callable[[Page, object], None],
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
) -> None:
    page = open_page(java_script_enabled=False)
    sign_in(page, instructor)
    page.goto(address(enrolment.section))
    hand_in_coupon(enrolment, exercise, at=datetime.now(UTC))
    page.get_by_role("link", name="Look again now").click()
    expect(page.get_by_text("1 coupon today")).to_be_visible()
