"""A student who changes section, with every coupon, sign-off, grade and record."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from coursework import audit, terms
from coursework.conflicts import Conflict
from coursework.locking import locked_enrolment
from coursework.models import Act, Coupon, Enrolment, Section, SectionMove, User


class CannotMove(Conflict):
    """The student cannot go to this section; the message says why."""


@transaction.atomic
def move(enrolment: Enrolment, to: Section, *, by: User, reason: str, at: datetime) -> SectionMove:
    """Move a student to another section of the same plan and term.

    The enrolment stays the same row, so that everything which hangs from it comes along.

    Raises
    ------
    ClosedTerm
        When the term is closed.
    CannotMove
        When the section is of another plan or term, is the student's own, or knows the student.
    """
    # The lock keeps a coupon that comes in at this moment from going to the section left behind.
    locked = locked_enrolment(enrolment.pk)
    before = locked.section
    terms.need_open(before.term)
    _refuse(locked, before, to)
    locked.section = to
    locked.save(update_fields=["section"])
    Coupon.objects.filter(enrolment=locked).update(section=to)
    moved = SectionMove.objects.create(
        enrolment=locked,
        from_section=before,
        to_section=to,
        moved_by=by,
        moved_at=at,
        reason=reason,
    )
    names = {"before": {"section": str(before)}, "after": {"section": str(to)}}
    audit.record_act(by, Act.STUDENT_MOVED, locked, reason=reason, **names)
    return moved


def _refuse(enrolment: Enrolment, before: Section, to: Section) -> None:
    said = {"student": enrolment.user, "section": to}
    if to.pk == before.pk:
        raise CannotMove(_("%(student)s is in %(section)s already.") % said)
    if (to.term_id, to.plan_id) != (before.term_id, before.plan_id):
        raise CannotMove(
            _("%(section)s is of another term or plan: its exercises are not those practiced.")
            % said
        )
    if Enrolment.objects.filter(section=to, user=enrolment.user_id).exists():
        raise CannotMove(
            _("%(student)s is on the roster of %(section)s beside. Take that entry off first.")
            % said
        )
