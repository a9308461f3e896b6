"""Withdrawing an issue of a record: with a reason, once, and nothing is deleted."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from coursework import access, issuing, section_issuing
from coursework.models import Act, AuditRow, Coupon, IssuedRecord, IssuedSectionRecord, User

NOON = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
REASON = "Coupon 3 was logged for another student."

type ClientOf = Callable[[User], Client]


@pytest.fixture
def issued(graded_coupon: Coupon, instructor: User) -> IssuedRecord:
    enrolment = access.enrolments(instructor).get(pk=graded_coupon.enrolment_id)
    return issuing.issue(enrolment, instructor, NOON, after_issue=0)


@pytest.fixture
def of_section(issued: IssuedRecord, instructor: User) -> IssuedSectionRecord:
    students = list(access.enrolments(instructor))
    return section_issuing.issue(students[0].section, students, instructor, NOON, after_issue=0)


def test_an_instructor_or_the_coordinator_withdraws_with_a_reason(
    issued: IssuedRecord,
    of_section: IssuedSectionRecord,
    instructor: User,
    coordinator: User,
    client_of: ClientOf,
) -> None:
    for record, name, user in (
        (issued, "record_withdraw", instructor),
        (of_section, "section_record_withdraw", coordinator),
    ):
        before = record.master
        answer = client_of(user).post(
            reverse(f"coursework:{name}", args=[record.code]), {"reason": REASON}, follow=True
        )
        assert REASON in answer.text
        record.refresh_from_db()
        assert (record.withdrawn_by, record.withdrawn_reason) == (user, REASON)
        assert record.master == before
        told = AuditRow.objects.latest("number")
        assert (told.act, told.about_key, told.reason) == (
            Act.RECORD_WITHDRAWN,
            str(record.pk),
            REASON,
        )


def test_without_a_reason_nothing_is_withdrawn(
    issued: IssuedRecord, instructor: User, client_of: ClientOf
) -> None:
    address = reverse("coursework:record_withdraw", args=[issued.code])
    answer = client_of(instructor).post(address, {"reason": "  "})
    assert answer.status_code == 422
    assert "Say in a sentence what is wrong" in answer.text
    issued.refresh_from_db()
    assert issued.withdrawn_at is None


def test_the_first_reason_stays(
    issued: IssuedRecord, instructor: User, client_of: ClientOf
) -> None:
    issuing.withdraw(issued, by=instructor, reason=REASON, at=NOON)
    address = reverse("coursework:record_withdraw", args=[issued.code])
    answer = client_of(instructor).post(address, {"reason": "Another."}, follow=True)
    assert "This issue is withdrawn already." in answer.text
    with pytest.raises(issuing.WithdrawnMeanwhile):
        issuing.withdraw(issued, by=instructor, reason="Another.", at=NOON)
    issued.refresh_from_db()
    assert issued.withdrawn_reason == REASON


@pytest.mark.postgres
def test_the_database_takes_no_withdrawal_back(issued: IssuedRecord, instructor: User) -> None:
    issuing.withdraw(issued, by=instructor, reason=REASON, at=NOON)
    back = {"withdrawn_at": None, "withdrawn_by": None, "withdrawn_reason": ""}
    with pytest.raises(IntegrityError), transaction.atomic():
        IssuedRecord.objects.filter(pk=issued.pk).update(**back)
    assert IssuedRecord.objects.get(pk=issued.pk).withdrawn_reason == REASON


def test_a_student_withdraws_nothing(
    issued: IssuedRecord, of_section: IssuedSectionRecord, student: User, client_of: ClientOf
) -> None:
    client = client_of(student)
    for name, code in (
        ("record_withdraw", issued.code),
        ("section_record_withdraw", of_section.code),
    ):
        answer = client.post(reverse(f"coursework:{name}", args=[code]), {"reason": REASON})
        assert answer.status_code in {403, 404}
    assert not IssuedRecord.objects.filter(withdrawn_at__isnull=False).exists()


def test_after_a_withdrawal_the_record_is_issued_anew_though_nothing_changed(
    issued: IssuedRecord, instructor: User
) -> None:
    issuing.withdraw(issued, by=instructor, reason=REASON, at=NOON)
    students = list(access.enrolments(instructor))
    section_issuing.issue(students[0].section, students, instructor, NOON, after_issue=0)
    newest = issuing.latest(students[0])
    assert newest
    assert (newest.issue, issuing.standing_of(newest).state) == (2, "current")
    assert issuing.standing_of(issued).state == "withdrawn"
