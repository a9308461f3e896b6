"""The list of sections and what waits in each."""

import re
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from coursework.models import Coupon, Enrolment, Exercise, Section, User
from tests.factories import (
    EnrolmentFactory,
    SectionFactory,
    clean_document,
    grade_coupon,
    hand_in_coupon,
)

type ClientOf = Callable[[User], Client]

ADDRESS = reverse("coursework:sections")


def count(text: str, name: str) -> str:
    """Return the number that stands beside a name."""
    found = re.search(rf"<dt>{name}</dt>\s*<dd>\s*(?:<[^>]+>\s*)*(\d+)", text)
    assert found, name
    return found[1]


@pytest.mark.postgres
def test_an_instructor_sees_the_sections_taught_with_their_counts(
    client_of: ClientOf,
    instructor: User,
    other_section: Section,
    enrolment: Enrolment,
    exercise: Exercise,
) -> None:
    brake_cleaner = [{"step": "degrease", "agent": "chlorinated", "tool": "shop_rag"}]
    hand_in_coupon(enrolment, exercise)
    hand_in_coupon(enrolment, exercise, clean_document(exercise, cleaning=brake_cleaner))
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    withdrawn = hand_in_coupon(enrolment, exercise)
    Coupon.objects.filter(pk=withdrawn.pk).update(state=Coupon.State.WITHDRAWN)
    text = client_of(instructor).get(ADDRESS).content.decode()
    assert count(text, "Students") == "1"
    assert count(text, "Coupons") == "3"
    assert count(text, "Waiting for a grade") == "2"
    assert count(text, "With a safety stop") == "1"
    assert str(other_section) not in text


def test_a_coordinator_sees_every_section_and_a_student_none(
    client_of: ClientOf,
    coordinator: User,
    student: User,
    section: Section,
    other_section: Section,
) -> None:
    text = client_of(coordinator).get(ADDRESS).content.decode()
    assert str(section) in text
    assert str(other_section) in text
    assert client_of(student).get(ADDRESS).status_code == 403


def test_an_instructor_without_a_section_is_told_where_it_comes_from(
    client_of: ClientOf, instructor: User
) -> None:
    Enrolment.objects.filter(user=instructor).delete()
    assert "You teach no section yet." in client_of(instructor).get(ADDRESS).content.decode()


def test_the_list_costs_the_same_however_many_sections(
    client_of: ClientOf,
    instructor: User,
    coupon: Coupon,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    browser = client_of(instructor)
    for _each in range(2):
        with django_assert_max_num_queries(9):
            assert browser.get(ADDRESS).status_code == 200
        for _more in range(4):
            more = SectionFactory.create(term=coupon.section.term, plan=coupon.section.plan)
            EnrolmentFactory.create(section=more, user=instructor)
