"""Holds: the records of a student or a section stay, whatever their time, until it is lifted."""

from datetime import datetime

from django.db import transaction

from coursework.audit import record_act
from coursework.locking import lock_school
from coursework.models import Act, Hold, School, Section, User


@transaction.atomic
def place(school: School, on: User | Section, reason: str, *, by: User, at: datetime) -> Hold:
    """Put a student's or a section's records on hold; the same hold sent twice is one."""
    lock_school(school.pk)
    target = {"student": on} if isinstance(on, User) else {"section": on}
    hold, made = Hold.objects.get_or_create(
        school=school,
        reason=reason,
        lifted_at=None,
        defaults={"placed_by": by, "placed_at": at},
        **target,
    )
    if made:
        record_act(by, Act.HOLD_SET, hold, reason=reason)
    return hold


@transaction.atomic
def lift(hold: Hold, *, by: User, at: datetime) -> None:
    """Lift a hold; of one that is lifted the first moment stays."""
    in_force = Hold.objects.filter(pk=hold.pk, lifted_at=None)
    lifted = in_force.update(lifted_by=by, lifted_at=at)
    hold.refresh_from_db()
    if lifted:
        record_act(by, Act.HOLD_LIFTED, hold)
