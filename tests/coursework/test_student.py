"""One student as staff sees them."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from coursework.models import Coupon, Enrolment, Exercise, User
from coursework.views import student as student_page
from tests.factories import ExerciseFactory, grade_coupon, hand_in_coupon

type ClientOf = Callable[[User], Client]


def address(enrolment: Enrolment) -> str:
    return reverse("coursework:student", args=[enrolment.pk])


def body(client: Client, enrolment: Enrolment, **query: str) -> str:
    return " ".join(client.get(address(enrolment), query).content.decode().split())


def test_each_exercise_says_what_is_still_missing(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    ExerciseFactory.create(plan=exercise.plan, title="Lap", good_coupons_wanted=3)
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    hand_in_coupon(enrolment, exercise)
    text = body(client_of(instructor), enrolment)
    assert "1 of 2 good, 1 waiting for a grade. Still wanted: 1 more good coupon." in text
    assert "0 of 3 good. Still wanted: 3 more good coupons." in text
    assert "Joined Aug 24. Competent in 0 of 2 exercises." in text
    assert reverse("coursework:record", args=[enrolment.pk]) in text


def test_the_sign_off_is_offered_to_instructors_once_the_good_coupons_are_there(
    client_of: ClientOf,
    instructor: User,
    coordinator: User,
    enrolment: Enrolment,
    exercise: Exercise,
) -> None:
    button = reverse("coursework:sign_off", args=[enrolment.pk, exercise.pk])
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    assert button not in body(client_of(instructor), enrolment)
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    assert button in body(client_of(instructor), enrolment)
    assert button not in body(client_of(coordinator), enrolment)


def test_the_coupons_are_listed_newest_first_in_pages(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(student_page, "A_PAGE", 2)
    for _each in range(3):
        hand_in_coupon(enrolment, exercise)
    browser = client_of(instructor)
    first, second = (body(browser, enrolment, page=page) for page in "12")
    assert first.index('"coupon-number">3<') < first.index('"coupon-number">2<')
    assert '"coupon-number">1<' in second
    assert "Older" in first
    assert "Newer" in second


def test_a_student_is_seen_by_the_staff_of_the_section_alone(
    client_of: ClientOf,
    instructor: User,
    coordinator: User,
    other_instructor: User,
    student: User,
    classmate: User,
    enrolment: Enrolment,
) -> None:
    people = {
        instructor: 200,
        coordinator: 200,
        other_instructor: 404,
        student: 403,
        classmate: 404,
    }
    for person, status in people.items():
        assert client_of(person).get(address(enrolment)).status_code == status, person


def test_the_page_costs_the_same_however_much_there_is(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
    coupon: Coupon,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    assert coupon.is_open
    browser = client_of(instructor)
    for _each in range(2):
        with django_assert_max_num_queries(9):
            browser.get(address(enrolment))
        for more in ExerciseFactory.create_batch(3, plan=exercise.plan):
            grade_coupon(hand_in_coupon(enrolment, more), instructor)
