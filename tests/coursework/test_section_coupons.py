"""The list of a section's coupons: narrowed, kept as an address, totally ordered, in pages."""

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from coursework.models import Coupon, Enrolment, Exercise, Section, User
from tests.factories import (
    MOMENT,
    EnrolmentFactory,
    ExerciseFactory,
    clean_document,
    grade_coupon,
    hand_in_coupon,
)

type ClientOf = Callable[[User], Client]

LATE_SUNDAY = datetime(2026, 9, 14, 3, 0, tzinfo=UTC)


def page(client: Client, section: Section, **asked: Any) -> Any:
    return client.get(reverse("coursework:section_coupons", args=[section.pk]), asked)


def listed(answer: Any) -> list[int]:
    """Return the numbers of the coupons on a page, in their order."""
    return [int(n) for n in re.findall(r'coupon-number">(\d+)<', answer.content.decode())]


@pytest.fixture
def coupons(enrolment: Enrolment, exercise: Exercise, instructor: User) -> list[Coupon]:
    """Three coupons: of week 3 by the clock of Chicago, of week 4 without cleaning, unsafe."""
    lap = ExerciseFactory.create(plan=exercise.plan, title="Lap")
    solvent = [{"step": "degrease", "agent": "chlorinated", "tool": "shop_rag"}]
    return [
        hand_in_coupon(enrolment, lap, at=LATE_SUNDAY),
        hand_in_coupon(enrolment, exercise, clean_document(exercise, cleaning=[])),
        hand_in_coupon(
            enrolment,
            exercise,
            clean_document(exercise, cleaning=solvent),
            at=MOMENT + timedelta(hours=1),
        ),
    ]


@pytest.mark.postgres
def test_each_filter_narrows_and_all_work_together(
    client_of: ClientOf, instructor: User, section: Section, coupons: list[Coupon]
) -> None:
    browser = client_of(instructor)
    lap, tee = coupons[0].exercise, coupons[1].exercise
    student = coupons[0].enrolment
    expected: list[tuple[dict[str, Any], list[int]]] = [
        ({}, [3, 2, 1]),
        ({"exercise": lap.pk}, [1]),
        ({"exercise": tee.pk}, [3, 2]),
        ({"week": 3}, [1]),
        ({"week": 4}, [3, 2]),
        ({"week": 12}, []),
        ({"student": student.pk}, [3, 2, 1]),
        ({"flag": "safety"}, [3]),
        ({"flag": "cleaning"}, [3, 2]),
        ({"flag": "none"}, [1]),
        ({"flag": "cleaning", "week": 4, "exercise": tee.pk, "student": student.pk}, [3, 2]),
        ({"flag": "safety", "week": 3}, []),
    ]
    assert {str(asked): listed(page(browser, section, **asked)) for asked, _ in expected} == {
        str(asked): numbers for asked, numbers in expected
    }


def test_what_was_asked_for_stays_chosen(
    client_of: ClientOf, instructor: User, section: Section, coupons: list[Coupon]
) -> None:
    text = page(client_of(instructor), section, week=3, flag="none").content.decode()
    assert '<option value="3" selected>' in text
    assert '<option value="none" selected>' in text


@pytest.mark.parametrize(
    "asked", [{"exercise": "x"}, {"week": "99"}, {"student": "-1"}, {"flag": "rust"}]
)
def test_an_address_that_cannot_be_read_says_so_and_still_shows_the_list(
    client_of: ClientOf,
    instructor: User,
    section: Section,
    coupons: list[Coupon],
    asked: dict[str, str],
) -> None:
    answer = page(client_of(instructor), section, **asked)
    assert answer.status_code == 422
    assert "This is not on the list; choose another." in answer.content.decode()
    assert listed(answer) == [3, 2, 1]


def test_a_student_of_another_section_is_not_on_the_list(
    client_of: ClientOf, instructor: User, section: Section, stranger: User
) -> None:
    other = Enrolment.objects.get(user=stranger)
    assert page(client_of(instructor), section, student=other.pk).status_code == 422


def test_pages_keep_the_filter_and_show_every_coupon_once_though_all_came_at_one_time(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    for _each in range(53):
        hand_in_coupon(enrolment, exercise)
    browser = client_of(instructor)
    with django_assert_max_num_queries(10):
        first = page(browser, enrolment.section, week=4)
    second = page(browser, enrolment.section, week=4, page=2)
    assert sorted(listed(first) + listed(second)) == list(range(1, 54))
    assert "week=4&amp;page=2" in first.content.decode()


def test_withdrawn_coupons_are_no_part_of_it_and_grades_are_shown_only_when_released(
    client_of: ClientOf, instructor: User, section: Section, coupons: list[Coupon]
) -> None:
    Coupon.objects.filter(pk=coupons[0].pk).update(state=Coupon.State.WITHDRAWN)
    grade_coupon(coupons[1], instructor, level=4)
    EnrolmentFactory.create(section=section)
    answer = page(client_of(instructor), section)
    assert listed(answer) == [3, 2]
    assert answer.content.decode().count('class="level"') == 1
