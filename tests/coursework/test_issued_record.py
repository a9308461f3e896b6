"""The page of an issued record: what was frozen, whatever happened since."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from coursework import access, issuing
from coursework.models import Coupon, IssuedRecord, User

type ClientOf = Callable[[User], Client]


@pytest.fixture
def issued(graded_coupon: Coupon, instructor: User) -> IssuedRecord:
    return issue(graded_coupon, instructor, after=0)


def issue(coupon: Coupon, instructor: User, after: int) -> IssuedRecord:
    enrolment = access.enrolments(instructor).get(pk=coupon.enrolment_id)
    noon = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
    return issuing.issue(enrolment, instructor, noon, after_issue=after)


def page(client: Client, issued: IssuedRecord) -> str:
    response = client.get(reverse("coursework:issued_record", args=[issued.code]))
    assert response.status_code == 200
    return response.content.decode()


def test_the_student_and_the_staff_read_number_issue_and_fingerprint(
    issued: IssuedRecord, student: User, instructor: User, coordinator: User, client_of: ClientOf
) -> None:
    for user in (student, instructor, coordinator):
        text = page(client_of(user), issued)
        assert f"Term record {issued.code}, issue 1" in text
        assert issued.sha256 in text
        assert "not a welder qualification" in text
        for name in ("record_pdf", "record_csv"):
            assert reverse(f"coursework:{name}", args=[issued.code]) in text


def test_the_page_shows_the_master_and_not_the_tables(
    issued: IssuedRecord, student: User, instructor: User, client_of: ClientOf
) -> None:
    student.first_name = "Changed"
    student.save()
    text = page(client_of(instructor), issued)
    assert "Ansa Quill" in text
    assert "Changed" not in text


def test_an_older_issue_points_to_the_newest(
    issued: IssuedRecord, graded_coupon: Coupon, instructor: User, client_of: ClientOf
) -> None:
    newer = issue(graded_coupon, instructor, after=1)
    assert "There is a newer issue" in page(client_of(instructor), issued)
    assert "There is a newer issue" not in page(client_of(instructor), newer)


def test_a_master_that_was_tampered_with_is_not_to_be_relied_on(
    issued: IssuedRecord, instructor: User, client_of: ClientOf
) -> None:
    assert "no longer matches" not in page(client_of(instructor), issued)
    changed = issued.master.replace('"level":3', '"level":4')
    assert changed != issued.master
    IssuedRecord.objects.filter(pk=issued.pk).update(master=changed)
    assert "no longer matches" in page(client_of(instructor), issued)


def test_it_costs_few_queries(
    issued: IssuedRecord,
    instructor: User,
    client_of: ClientOf,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    client = client_of(instructor)
    with django_assert_max_num_queries(5):
        page(client, issued)


@pytest.mark.parametrize("name", ["issued_record", "record_pdf", "record_csv"])
def test_it_does_not_exist_for_others(
    issued: IssuedRecord,
    classmate: User,
    stranger: User,
    other_instructor: User,
    client_of: ClientOf,
    name: str,
) -> None:
    address = reverse(f"coursework:{name}", args=[issued.code])
    for user in (classmate, stranger, other_instructor):
        assert client_of(user).get(address).status_code == 404


@pytest.mark.parametrize("code", ["2222-2222", "x", "%00", "🔥"])
def test_a_wrong_code_leads_nowhere(instructor: User, client_of: ClientOf, code: str) -> None:
    address = reverse("coursework:issued_record", args=[code])
    assert client_of(instructor).get(address).status_code == 404
