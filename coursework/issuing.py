"""Issue a term record: freeze its master, with number and fingerprint. No issue is ever edited."""

from collections.abc import Sequence
from datetime import datetime

from django.db import IntegrityError, transaction

from coursework import audit
from coursework.conflicts import Conflict
from coursework.models import Act, Enrolment, IssuedRecord, User
from coursework.models.record import new_record_code
from coursework.record import Issue, fingerprint, to_master
from coursework.record_making import term_record


class IssuedMeanwhile(Conflict):
    """The record was issued by somebody else since the page was opened."""


def latest(enrolment: Enrolment) -> IssuedRecord | None:
    """Return the newest issue of a student's record, or None."""
    return enrolment.records.order_by("-issue").first()


def latest_of(enrolments: Sequence[Enrolment]) -> dict[int, IssuedRecord]:
    """Return the newest issue of each of these students who has one, by enrolment; one query."""
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
    """
    try:
        with transaction.atomic():
            return _issue(enrolment, issuer, at, after_issue)
    except IntegrityError as error:
        raise IssuedMeanwhile from error


def is_untouched(record: IssuedRecord) -> bool:
    """Return whether the stored master still has the fingerprint that it was issued with."""
    return fingerprint(record.master) == record.sha256


def _issue(enrolment: Enrolment, issuer: User, at: datetime, after_issue: int) -> IssuedRecord:
    # Whoever comes second waits here, and then sees the first one's issue.
    Enrolment.objects.select_for_update().get(pk=enrolment.pk)
    last = latest(enrolment)
    if (last.issue if last else 0) != after_issue:
        raise IssuedMeanwhile
    code, number = new_record_code(), after_issue + 1
    master = to_master(term_record(enrolment, Issue(code, number, str(issuer), at)))
    issued = IssuedRecord.objects.create(
        enrolment=enrolment,
        code=code,
        issue=number,
        master=master,
        sha256=fingerprint(master),
        issued_by=issuer,
        issued_at=at,
    )
    audit.record_act(
        issuer, Act.RECORD_ISSUED, issued, after={"code": code, "sha256": issued.sha256}
    )
    return issued
