"""Correction requests: asked by the student, decided with a reason, answered by a statement.

A request is about whether the record is accurate; it is no second hearing of a judgment. What a
decision changes is changed where it always is: a coupon is graded again, a name is put right.
"""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from coursework.audit import record_act
from coursework.conflicts import Conflict
from coursework.locking import lock_school
from coursework.models import Act, CorrectionRequest, Coupon, Enrolment, User
from coursework.record_lines import Correction


class DecidedMeanwhile(Conflict):
    """Somebody else decided the request since the page was opened."""


class NoStatementNow(Conflict):
    """The request was not declined, or a statement stands under it already."""


def statements_of(enrolment: Enrolment) -> tuple[Correction, ...]:
    """Return the statements that a student placed, in the order of the requests; one query.

    Parameters
    ----------
    enrolment : Enrolment
        With its section, term, school and settings at hand, as ``access`` gives it.
    """
    zone = enrolment.section.term.school.settings.zone
    placed = enrolment.correction_requests.filter(stated_at__isnull=False)
    return tuple(
        Correction(
            about=each.about,
            asked_on=each.asked_at.astimezone(zone).date(),
            asked=each.what,
            decision=each.decision,
            reason=each.reason,
            statement=each.statement,
            stated_at=each.stated_at,
        )
        for each in placed.order_by("asked_at", "pk")
        if each.stated_at
    )


@transaction.atomic
def ask(
    enrolment: Enrolment, coupon: Coupon | None, what: str, *, at: datetime
) -> CorrectionRequest:
    """Ask for a correction; the same request sent twice is one.

    Parameters
    ----------
    enrolment : Enrolment
        Whose record it is in, with its section and term at hand.
    coupon : Coupon or None
        The coupon that it is about, one of this enrolment; None for the record as a whole.
    what : str
        What is wrong, and what it should say.
    at : datetime
        When it is asked.
    """
    lock_school(enrolment.section.term.school_id)
    about = str(coupon) if coupon else _("The record as a whole")
    request, made = CorrectionRequest.objects.get_or_create(
        enrolment=enrolment,
        coupon=coupon,
        what=what,
        decision=CorrectionRequest.Decision.OPEN,
        defaults={"asked_at": at, "about": about},
    )
    if made:
        record_act(enrolment.user, Act.CORRECTION_REQUESTED, request, after={"what": what})
    return request


@transaction.atomic
def decide(
    request: CorrectionRequest, decision: str, reason: str, *, by: User, at: datetime
) -> None:
    """Accept or decline a request, with the reason that the student reads.

    Raises
    ------
    DecidedMeanwhile
        When it is decided already; the first decision stays.
    """
    undecided = CorrectionRequest.objects.filter(
        pk=request.pk, decision=CorrectionRequest.Decision.OPEN
    )
    if not undecided.update(decision=decision, reason=reason, decided_by=by, decided_at=at):
        raise DecidedMeanwhile
    request.refresh_from_db()
    said = {"decision": decision}
    record_act(by, Act.CORRECTION_DECIDED, request, after=said, reason=reason)


@transaction.atomic
def state(request: CorrectionRequest, statement: str, *, at: datetime) -> None:
    """Place the student's statement under a request that was declined; it stays as it is placed.

    Raises
    ------
    NoStatementNow
        When the request was not declined, or has a statement.
    """
    declined = CorrectionRequest.objects.filter(
        pk=request.pk, decision=CorrectionRequest.Decision.DECLINED, stated_at=None
    )
    if not declined.update(statement=statement, stated_at=at):
        raise NoStatementNow
    request.refresh_from_db()
    student = request.enrolment.user
    record_act(student, Act.CORRECTION_ANSWERED, request, after={"statement": statement})
