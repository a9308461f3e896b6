"""The queue of a section."""

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from coursework.models import Coupon, Enrolment, Exercise, Section, User
from coursework.views import waiting
from tests.factories import MOMENT, clean_document, grade_coupon, hand_in_coupon

type ClientOf = Callable[[User], Client]


def address(section: Section) -> str:
    return reverse("coursework:waiting", args=[section.pk])


def numbers(page: Any) -> list[int]:
    """Return the coupon numbers in the order of the page."""
    text = page.content.decode()
    return [int(each) for each in re.findall(r'"coupon-number">(\d+)<', text)]


def test_what_waits_is_listed_oldest_first_and_what_is_graded_is_not(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    late = hand_in_coupon(enrolment, exercise, at=MOMENT + timedelta(days=1))
    early = hand_in_coupon(enrolment, exercise, at=MOMENT)
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    page = client_of(instructor).get(address(enrolment.section))
    assert numbers(page) == [early.number, late.number]
    assert reverse("coursework:grade", args=[early.public_id]) in page.content.decode()


def test_a_safety_stop_comes_first_and_is_named(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    hand_in_coupon(enrolment, exercise, at=MOMENT)
    brake_cleaner = [{"step": "degrease", "agent": "chlorinated", "tool": "shop_rag"}]
    unsafe = clean_document(exercise, cleaning=brake_cleaner)
    stopped = hand_in_coupon(enrolment, exercise, unsafe, at=MOMENT + timedelta(days=1))
    page = client_of(instructor).get(address(enrolment.section))
    assert numbers(page)[0] == stopped.number
    assert "Safety stop" in page.content.decode()


def test_pages_hold_every_coupon_once(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(waiting, "A_PAGE", 2)
    for _each in range(5):
        hand_in_coupon(enrolment, exercise, at=MOMENT)
    browser, where = client_of(instructor), address(enrolment.section)
    found = [numbers(browser.get(where, {"page": page})) for page in (1, 2, 3)]
    assert found == [[1, 2], [3, 4], [5]]
    assert browser.get(where, {"page": "sideways"}).status_code == 200


def test_an_empty_queue_says_what_will_be_there(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    assert "No coupon waits." in client_of(instructor).get(address(section)).content.decode()


def test_the_coordinator_looks_and_does_not_grade(
    client_of: ClientOf, coordinator: User, coupon: Coupon
) -> None:
    text = client_of(coordinator).get(address(coupon.section)).content.decode()
    assert reverse("coursework:coupon", args=[coupon.public_id]) in text
    assert reverse("coursework:grade", args=[coupon.public_id]) not in text


def test_the_queue_of_others_does_not_exist(
    client_of: ClientOf,
    instructor: User,
    other_instructor: User,
    student: User,
    stranger: User,
    coupon: Coupon,
) -> None:
    people = {instructor: 200, other_instructor: 404, student: 403, stranger: 404}
    for person, status in people.items():
        assert client_of(person).get(address(coupon.section)).status_code == status, person


def test_the_queue_costs_the_same_however_long_it_is(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    browser = client_of(instructor)
    for count in (1, 8):
        for _each in range(count):
            hand_in_coupon(enrolment, exercise)
        with django_assert_max_num_queries(7):
            browser.get(address(enrolment.section))
