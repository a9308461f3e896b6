"""Issue a term record: freeze its master, with number and fingerprint. No issue is ever edited.

A later change makes a new issue, which supersedes the one before; an issue that was wrong is
withdrawn with a reason, and stays.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Literal

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from coursework import audit
from coursework.conflicts import Conflict
from coursework.models import Act, Enrolment, IssuedRecord, IssuedSectionRecord, User
from coursework.models.record import Issued, new_record_code
from coursework.record import Issue, TermRecord, fingerprint, from_master, to_master
from coursework.record_making import term_record

type AnyIssued = IssuedRecord | IssuedSectionRecord


class IssuedMeanwhile(Conflict):
    """The record was issued by somebody else since the page was opened."""


class CouponsRemoved(Conflict):
    """The student's coupons were past their time and are gone: a new issue would be empty."""


class WithdrawnMeanwhile(Conflict):
    """The issue was withdrawn by somebody else since the page was opened."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How one issue of a record stands: whether it is the newest, and whether it still holds.

    ``newer`` is the newest issue where this one is superseded. A withdrawn issue is never
    current, also where it is the newest.
    """

    record: AnyIssued
    newer: AnyIssued | None

    @property
    def state(self) -> Literal["current", "superseded", "withdrawn"]:
        if self.record.withdrawn_at:
            return "withdrawn"
        return "superseded" if self.newer else "current"


def standing_of(record: AnyIssued) -> Standing:
    """Return how an issue of a record stands; one query."""
    later: QuerySet[IssuedRecord] | QuerySet[IssuedSectionRecord]
    if isinstance(record, IssuedRecord):
        later = IssuedRecord.objects.filter(enrolment=record.enrolment_id)
    else:
        later = IssuedSectionRecord.objects.filter(section=record.section_id)
    newer = later.filter(issue__gt=record.issue).defer("master").order_by("-issue")
    return Standing(record, newer.first())


def standings(records: Sequence[IssuedRecord]) -> list[Standing]:
    """Return how all issues of one student's record stand, the newest first."""
    newest_first = sorted(records, key=lambda each: -each.issue)
    return [
        Standing(each, newest_first[0] if each is not newest_first[0] else None)
        for each in newest_first
    ]


def latest(enrolment: Enrolment) -> IssuedRecord | None:
    """Return the newest issue of a student's record, or None."""
    return enrolment.records.order_by("-issue").first()


def latest_of(enrolments: Sequence[Enrolment]) -> dict[int, IssuedRecord]:
    """Return the newest issue for each of these students who has one, by enrolment; one query."""
    found = IssuedRecord.objects.filter(enrolment__in=enrolments).defer("master").order_by("issue")
    return {each.enrolment_id: each for each in found}


def issue(enrolment: Enrolment, issuer: User, at: datetime, *, after_issue: int) -> IssuedRecord:
    """Freeze the record of a student as it stands now.

    Parameters
    ----------
    enrolment : Enrolment
        With its user, section, term, school and settings at hand.
    issuer : User
        Whose name stands under the record.
    at : datetime
        When it is issued.
    after_issue : int
        The newest issue that the issuer knew of, 0 for none.

    Raises
    ------
    IssuedMeanwhile
        When there is a newer issue; nothing is stored then.
    CouponsRemoved
        When the coupons were removed, past their time; the issues of before stay.
    """
    try:
        with transaction.atomic():
            lock(enrolment)
            last = latest(enrolment)
            if (last.issue if last else 0) != after_issue:
                raise IssuedMeanwhile
            issued = freeze(enrolment, term_record(enrolment), last, issuer, at)
            audit.record_acts(issuer, Act.RECORD_ISSUED, [entry(issued)])
            return issued
    except IntegrityError as error:
        raise IssuedMeanwhile from error


def lock(enrolment: Enrolment) -> None:
    """Lock a student's row: whoever comes second waits here, and then sees the first one's issue.

    Raises
    ------
    CouponsRemoved
        When the coupons were removed, past their time; the issues of before stay.
    """
    if Enrolment.objects.select_for_update().get(pk=enrolment.pk).coupons_removed_at:
        raise CouponsRemoved


def freeze(
    enrolment: Enrolment, record: TermRecord, last: IssuedRecord | None, issuer: User, at: datetime
) -> IssuedRecord:
    """Store a record as the next issue after the last; the caller locks the student, and audits."""
    made = next_issue(last, issuer, at)
    master = to_master(replace(record, issue=made))
    return IssuedRecord.objects.create(enrolment=enrolment, **columns(made, master, issuer))


def next_issue(last: AnyIssued | None, issuer: User, at: datetime) -> Issue:
    """Return what the issue after the last says of itself, in its master."""
    number = last.issue + 1 if last else 1
    return Issue(new_record_code(), number, str(issuer), at, last.code if last else "")


def columns(made: Issue, master: str, issuer: User) -> dict[str, Any]:
    """Return the columns that every issued record has, whatever it is of."""
    return {
        "code": made.code,
        "issue": made.number,
        "master": master,
        "sha256": fingerprint(master),
        "issued_by": issuer,
        "issued_at": made.issued_at,
    }


def entry(issued: Issued) -> audit.Entry:
    """Return what the audit table is told of an issue."""
    return audit.Entry(about=issued, after={"code": issued.code, "sha256": issued.sha256})


def says_the_same(record: TermRecord, issued: IssuedRecord) -> bool:
    """Return whether an issue that still holds says what a record would say now."""
    before = replace(from_master(issued.master), issue=None)
    return issued.withdrawn_at is None and before == replace(record, issue=None)


def is_untouched(record: AnyIssued) -> bool:
    """Return whether the stored master still has the fingerprint that it was issued with."""
    return fingerprint(record.master) == record.sha256


@transaction.atomic
def withdraw(record: AnyIssued, *, by: User, reason: str, at: datetime) -> None:
    """Say that an issue holds no more, and why; it stays, and says so from now on.

    Raises
    ------
    WithdrawnMeanwhile
        When it is withdrawn already; the first reason stays.
    """
    standing = type(record)._default_manager.filter(pk=record.pk, withdrawn_at=None)
    if not standing.update(withdrawn_at=at, withdrawn_by=by, withdrawn_reason=reason):
        raise WithdrawnMeanwhile
    record.refresh_from_db()
    audit.record_act(by, Act.RECORD_WITHDRAWN, record, after={"code": record.code}, reason=reason)
