"""Issuing a term record: frozen once, by an instructor, one issue after the other."""

import threading
from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.urls import reverse

from coursework import access, issuing
from coursework.models import Coupon, Enrolment, IssuedRecord, User
from coursework.record import fingerprint, from_master
from tests.factories import grade_coupon, hand_in_coupon

NOON = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)

type ClientOf = Callable[[User], Client]


@pytest.fixture
def address(graded_coupon: Coupon) -> str:
    return reverse("coursework:record_issue", args=[graded_coupon.enrolment_id])


def test_issuing_freezes_the_master_under_a_number_and_a_fingerprint(
    address: str, instructor: User, client_of: ClientOf
) -> None:
    response = client_of(instructor).post(address, {"after_issue": "0"})
    issued = IssuedRecord.objects.get()
    assert response.headers["Location"] == reverse("coursework:issued_record", args=[issued.code])
    assert (issued.issue, issued.issued_by) == (1, instructor)
    assert issued.sha256 == fingerprint(issued.master)
    record = from_master(issued.master)
    assert record.issue
    assert (record.issue.code, record.issue.issued_by) == (issued.code, "Odo Hale")
    assert record.issue.issued_at == issued.issued_at


def test_a_later_issue_is_a_row_of_its_own_and_the_earlier_one_stays(
    address: str, graded_coupon: Coupon, instructor: User, client_of: ClientOf
) -> None:
    client = client_of(instructor)
    client.post(address, {"after_issue": "0"})
    before = IssuedRecord.objects.get()
    grade_coupon(hand_in_coupon(graded_coupon.enrolment, graded_coupon.exercise), instructor)
    client.post(address, {"after_issue": "1"})
    first, second = IssuedRecord.objects.order_by("issue")
    assert (first.master, first.sha256) == (before.master, before.sha256)
    assert (second.issue, from_master(second.master).good) == (2, 2)
    assert first.code != second.code


def test_the_button_pressed_twice_issues_once(
    address: str, instructor: User, client_of: ClientOf
) -> None:
    client = client_of(instructor)
    client.post(address, {"after_issue": "0"})
    second = client.post(address, {"after_issue": "0"})
    assert second.status_code == 409
    assert "issued a moment ago" in second.content.decode()
    assert IssuedRecord.objects.count() == 1


@pytest.mark.parametrize("after", ["", "-1", "1.0", "٣", "zero"])
def test_an_unreadable_answer_is_handed_back_and_issues_nothing(
    address: str, instructor: User, client_of: ClientOf, after: str
) -> None:
    response = client_of(instructor).post(address, {"after_issue": after})
    assert response.status_code == 422
    assert "Look at the record below" in response.content.decode()
    assert not IssuedRecord.objects.exists()


def test_only_an_instructor_of_the_section_issues(
    address: str,
    student: User,
    classmate: User,
    coordinator: User,
    other_instructor: User,
    client_of: ClientOf,
) -> None:
    for user, status in (
        (student, 403),
        (classmate, 404),
        (coordinator, 403),
        (other_instructor, 404),
    ):
        assert client_of(user).post(address, {"after_issue": "0"}).status_code == status
    assert not IssuedRecord.objects.exists()


def test_looking_at_the_address_issues_nothing(
    address: str, instructor: User, client_of: ClientOf
) -> None:
    assert client_of(instructor).get(address).status_code == 405


@pytest.mark.postgres
def test_the_database_refuses_the_same_issue_twice(graded_coupon: Coupon, instructor: User) -> None:
    enrolment = access.enrolments(instructor).get(pk=graded_coupon.enrolment_id)
    first = issuing.issue(enrolment, instructor, NOON, after_issue=0)
    with pytest.raises(issuing.IssuedMeanwhile):
        issuing.issue(enrolment, instructor, NOON, after_issue=0)
    first.pk, first.code = None, "2222-2222"
    with pytest.raises(IntegrityError), transaction.atomic():
        first.save(force_insert=True)
    assert IssuedRecord.objects.count() == 1


@pytest.mark.postgres(only=True)
@pytest.mark.django_db(transaction=True)
def test_of_two_who_issue_at_once_one_wins_and_the_other_is_told(
    enrolment: Enrolment, instructor: User
) -> None:
    found = access.enrolments(instructor).get(pk=enrolment.pk)
    start, told = threading.Barrier(4), []

    def issue() -> None:
        start.wait()
        try:
            issuing.issue(found, instructor, NOON, after_issue=0)
        except issuing.IssuedMeanwhile:
            told.append("meanwhile")
        finally:
            connection.close()

    threads = [threading.Thread(target=issue) for _ in range(4)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert (IssuedRecord.objects.count(), told) == (1, ["meanwhile"] * 3)
