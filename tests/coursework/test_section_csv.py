"""A section as a table: a row for each student and exercise."""

import csv
import io
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from coursework.models import Coupon, Section, User
from tests.factories import EnrolmentFactory, ExerciseFactory

type ClientOf = Callable[[User], Client]


@pytest.fixture
def address(section: Section) -> str:
    return reverse("coursework:section_csv", args=[section.pk])


def test_every_student_has_a_row_an_exercise(
    address: str,
    graded_coupon: Coupon,
    classmate: User,
    instructor: User,
    client_of: ClientOf,
) -> None:
    ExerciseFactory.create(plan=graded_coupon.exercise.plan, title="-Lap")
    response = client_of(instructor).get(address)
    assert response.headers["Content-Disposition"] == 'attachment; filename="alw-12-section-a.csv"'
    rows = list(csv.DictReader(io.StringIO(response.content.decode("utf-8-sig"))))
    assert [(row["student"], row["exercise"], row["state"]) for row in rows] == [
        ("Ansa Quill", "Tee", "nearly there"),
        ("Ansa Quill", "'-Lap", "not started"),
        (str(classmate), "Tee", "not started"),
        (str(classmate), "'-Lap", "not started"),
    ]
    assert (rows[0]["coupons_good"], rows[0]["missing"]) == ("1", "1 more good coupon")
    assert all("not a welder qualification" in row["note"] for row in rows)


def test_an_empty_section_is_a_head_alone(
    address: str, instructor: User, client_of: ClientOf
) -> None:
    text = client_of(instructor).get(address).content.decode("utf-8-sig")
    assert text.splitlines() == ['"school","term","course","section","note"']


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
    with django_assert_max_num_queries(9):
        assert client.get(address).status_code == 200


def test_it_is_for_the_staff_of_the_section(
    address: str, student: User, stranger: User, other_instructor: User, client_of: ClientOf
) -> None:
    for user, status in ((student, 403), (stranger, 404), (other_instructor, 404)):
        assert client_of(user).get(address).status_code == status
