"""Limits that are known from memory: silent until a lead instructor finds them in the own copy."""

from datetime import datetime
from typing import Final

from django.db import transaction
from django.utils.translation import gettext as _

from coursework import audit
from coursework.audit import About
from coursework.conflicts import Conflict
from coursework.models import Act, ConfirmedLimit, School, User
from weldlog.engine.imperfection_list import by_key, find
from weldlog.engine.limit_sets import ALTERNATIVE, ISO_LEVELS, SETS
from weldlog.engine.limits import Limit

# What a school looks up in the own copy, by the name of the set.
FROM_MEMORY: Final = {
    name: SETS[name].limits for name in (*(f"iso10042_{each}" for each in ISO_LEVELS), ALTERNATIVE)
}
BY_ID: Final = {limit.id: limit for limits in FROM_MEMORY.values() for limit in limits}


class NotToConfirm(Conflict):
    """What is remembered of this limit is too unsure, or it was read and needs no word."""


def can_be_confirmed(limit: Limit) -> bool:
    """Return whether a person's word makes a limit speak."""
    return limit.must_be_confirmed and limit.confidence != "L" and limit.judged_by != "look_up"


@transaction.atomic
def confirm(school: School, limit: Limit, *, by: User, at: datetime) -> ConfirmedLimit:
    """Store that a limit stands so in the school's copy; a second time changes nothing.

    Raises
    ------
    NotToConfirm
        When nobody's word makes it speak.
    """
    if not can_be_confirmed(limit):
        raise NotToConfirm(_("This row is looked up each time; there is nothing to confirm."))
    row, new = ConfirmedLimit.objects.get_or_create(
        school=school, limit=limit.id, defaults={"confirmed_by": by, "confirmed_at": at}
    )
    if new:
        audit.record_act(by, Act.LIMIT_CONFIRMED, _about(school, limit))
    return row


@transaction.atomic
def take_back(school: School, limit: Limit, *, by: User) -> None:
    """Make a limit silent again; assessments that rested on it stay as they are."""
    gone, _tables = ConfirmedLimit.objects.filter(school=school, limit=limit.id).delete()
    if gone:
        audit.record_act(by, Act.LIMIT_TAKEN_BACK, _about(school, limit))


def _about(school: School, limit: Limit) -> About:
    return About("confirmedlimit", limit.id, limit.id, school.pk)


def subject(limit: Limit) -> str:
    """Return which imperfections a limit is for, in words."""
    return ", ".join(dict.fromkeys(_name(each) for each in limit.imperfections))


def _name(imperfection: str) -> str:
    kind = by_key(imperfection)
    if kind:
        return kind.name
    known = find(imperfection)
    return f"{known.name} ({imperfection})" if known else imperfection
