"""The list of a section's term records."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from coursework import access, issuing
from coursework.models import Coupon, Section, User
from tests.factories import EnrolmentFactory

type ClientOf = Callable[[User], Client]


@pytest.fixture
def address(section: Section) -> str:
    return reverse("coursework:records", args=[section.pk])


def test_each_student_has_a_line_with_the_newest_issue(
    address: str,
    graded_coupon: Coupon,
    coupon: Coupon,
    classmate: User,
    instructor: User,
    coordinator: User,
    client_of: ClientOf,
) -> None:
    enrolment = access.enrolments(instructor).get(pk=graded_coupon.enrolment_id)
    issued = [
        issuing.issue(
            enrolment, instructor, datetime(2026, 11, day, 18, 0, tzinfo=UTC), after_issue=before
        )
        for before, day in enumerate((19, 20))
    ]
    for user in (instructor, coordinator):
        text = client_of(user).get(address).content.decode()
        assert "Quill, Ansa" in text
        assert f"{classmate.last_name}, {classmate.first_name}" in text
        assert issued[1].code in text
        assert "issue 2 of Nov 20" in text
        assert issued[0].code not in text
        assert "not issued" in text
        assert "1 coupon waits for a grade." in text


@pytest.mark.parametrize("students", [1, 16])
def test_it_costs_the_same_queries_for_any_number_of_students(
    address: str,
    section: Section,
    instructor: User,
    client_of: ClientOf,
    students: int,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    for _ in range(students):
        EnrolmentFactory.create(section=section)
    client = client_of(instructor)
    with django_assert_max_num_queries(10):
        assert client.get(address).status_code == 200


def test_a_section_without_students_says_so(
    address: str, instructor: User, client_of: ClientOf
) -> None:
    assert "Nobody has joined" in client_of(instructor).get(address).content.decode()


def test_it_is_for_the_staff_of_the_section(
    address: str, student: User, stranger: User, other_instructor: User, client_of: ClientOf
) -> None:
    for user, status in ((student, 403), (stranger, 404), (other_instructor, 404)):
        assert client_of(user).get(address).status_code == status
