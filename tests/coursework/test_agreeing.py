"""Who agrees with whom in a section, and the page that shows it."""

from collections.abc import Callable
from datetime import timedelta
from itertools import product

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from coursework import agreeing, second_looks
from coursework.models import Coupon, Enrolment, Exercise, Grade, Score, Section, User
from coursework.scoring import applying
from tests.factories import (
    MOMENT,
    EnrolmentFactory,
    InstructorFactory,
    grade_coupon,
    hand_in_coupon,
)

type ClientOf = Callable[[User], Client]


@pytest.fixture
def colleague(section: Section) -> User:
    """The second grader."""
    user = InstructorFactory.create(school=section.term.school)
    EnrolmentFactory.create(section=section, user=user)
    return user


def grade_twice(coupon: Coupon, first: User, second: User, levels: tuple[int, int]) -> None:
    """Grade a coupon by two people, each giving all rows one level."""
    look = second_looks.draw(grade_coupon(coupon, first, level=levels[0]), chance=0)
    assert look
    criteria = applying(look.grade.rubric_version.criteria.all(), coupon.exercise)
    scores = {each.key: min(levels[1], 3) if each.gate else levels[1] for each in criteria}
    second_looks.give(look, grader=second, scores=scores, at=MOMENT + timedelta(days=2))


@pytest.mark.postgres
def test_levels_of_both_graders_are_paired_overall_and_by_criterion(
    section: Section, enrolment: Enrolment, exercise: Exercise, instructor: User, colleague: User
) -> None:
    pairs = [(3, 3), (3, 2), (4, 4), (2, 2)]
    for pair in pairs:
        grade_twice(hand_in_coupon(enrolment, exercise), instructor, colleague, pair)
    overall, *by_criterion = agreeing.between_graders(section)
    assert overall.found
    assert (overall.found.coupons, overall.found.percent) == (4, 75.0)
    assert len(by_criterion) == 8
    assert all(each.found and each.found.coupons == 4 for each in by_criterion)
    assert agreeing.graders(section) == 1


def test_a_criterion_that_one_left_out_and_a_grade_taken_back_are_in_no_pair(
    section: Section, enrolment: Enrolment, exercise: Exercise, instructor: User, colleague: User
) -> None:
    for _each in range(2):
        grade_twice(hand_in_coupon(enrolment, exercise), instructor, colleague, (3, 3))
    first, second = Grade.objects.order_by("pk")
    Score.objects.filter(grade=first, criterion__key="technique").delete()
    counts = {each.name: each.found for each in agreeing.between_graders(section)}
    technique = counts["Technique"]
    assert technique
    assert technique.coupons == 1
    Grade.objects.filter(pk=second.pk).update(undone_at=MOMENT)
    found = agreeing.between_graders(section)[0].found
    assert found
    assert found.coupons == 1


def test_predictions_are_held_against_grades_that_the_student_knows(
    section: Section, enrolment: Enrolment, exercise: Exercise, instructor: User
) -> None:
    assert agreeing.with_students(section).found is None
    for predicted, level in ((3, 3), (4, 3), (None, 3)):
        coupon = hand_in_coupon(enrolment, exercise, predicted_level=predicted)
        grade_coupon(coupon, instructor, level=level)
    held = hand_in_coupon(enrolment, exercise, predicted_level=4)
    grade_coupon(held, instructor, level=4)
    Coupon.objects.filter(pk=held.pk).update(grade=None, state=Coupon.State.HELD)
    found = agreeing.with_students(section).found
    assert found
    assert (found.coupons, found.percent) == (2, 50.0)


def test_the_page_shows_numbers_intervals_and_warnings(
    client_of: ClientOf,
    section: Section,
    enrolment: Enrolment,
    exercise: Exercise,
    instructor: User,
    colleague: User,
) -> None:
    browser = client_of(instructor)
    address = reverse("coursework:agreement", args=[section.pk])
    assert browser.get(address).text.count("Nothing to compare yet") == 2
    for pair in product((2, 3), (2, 3)):
        grade_twice(hand_in_coupon(enrolment, exercise), instructor, colleague, pair)
    text = " ".join(browser.get(address).text.split())
    assert "Only 4 coupons: below 30 these numbers say little." in text
    assert "<b>0.00</b>" in text
    assert "50 %" in text
    assert "Level of the coupon" in text


def test_it_costs_a_bounded_number_of_queries(
    client_of: ClientOf,
    section: Section,
    enrolment: Enrolment,
    exercise: Exercise,
    instructor: User,
    colleague: User,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    for _each in range(3):
        grade_twice(hand_in_coupon(enrolment, exercise), instructor, colleague, (3, 3))
    browser = client_of(instructor)
    with django_assert_max_num_queries(9):
        browser.get(reverse("coursework:agreement", args=[section.pk]))
