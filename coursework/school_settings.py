"""What a school sets, changed; and its own sets of limits."""

import hashlib
import json
from typing import Any, Final

from django.db import transaction
from django.utils.translation import gettext as _

from coursework import audit
from coursework.conflicts import Conflict
from coursework.models import Act, Exercise, SchoolSettings, User

# A change of one of these makes the next review of a coupon differ from the last.
REVIEWED_BY: Final = ("cleaning_window_h", "cleaning_redo_h", "dcen_with_helium", "limit_sets")

type LimitSet = dict[str, Any]


class ChangedMeanwhile(Conflict):
    """Somebody else changed the set of limits since the page was opened."""


class InUse(Conflict):
    """An exercise names the set; the message says which."""


@transaction.atomic
def change(settings: SchoolSettings, *, by: User | None, **values: object) -> bool:
    """Store new settings, and return whether coupons would be reviewed differently from now on."""
    before = {name: getattr(settings, name) for name in values}
    differs = any(
        name in values and values[name] != getattr(settings, name) for name in REVIEWED_BY
    )
    _store(settings, values)
    audit.record_change(by, Act.SETTINGS_CHANGED, settings, before=before, after=values)
    return differs


def _store(settings: SchoolSettings, values: dict[str, object]) -> None:
    for name, value in values.items():
        setattr(settings, name, value)
    settings.save(update_fields=list(values))


def version_of(limit_set: LimitSet | None) -> str:
    """Return a short text that is another one after any change of the set."""
    text = json.dumps(limit_set, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


@transaction.atomic
def keep_limit_set(
    settings: SchoolSettings,
    place: int | None,
    limit_set: LimitSet,
    *,
    based_on: str,
    by: User | None,
) -> None:
    """Store a set of limits in its place, or behind the others where it is new.

    Raises
    ------
    ChangedMeanwhile
        When the set in that place is not the one that the change was based on.
    InUse
        When it takes another name and an exercise names it by the old one.
    """
    sets = _locked_sets(settings)
    before = None
    if place is None:
        sets.append(limit_set)
    else:
        before = _at(sets, place, based_on)
        if before["name"] != limit_set["name"]:
            _refuse_in_use(settings, before["name"])
        sets[place] = limit_set
    _keep(settings, sets, by, before, limit_set)


@transaction.atomic
def remove_limit_set(
    settings: SchoolSettings, place: int, *, based_on: str, by: User | None
) -> None:
    """Take a set of limits out; raises as :func:`keep_limit_set` does."""
    sets = _locked_sets(settings)
    before = _at(sets, place, based_on)
    _refuse_in_use(settings, before["name"])
    del sets[place]
    _keep(settings, sets, by, before, None)


def _keep(
    settings: SchoolSettings,
    sets: list[LimitSet],
    by: User | None,
    before: LimitSet | None,
    after: LimitSet | None,
) -> None:
    _store(settings, {"limit_sets": sets})
    was, now = {"limit_set": before}, {"limit_set": after}
    audit.record_change(by, Act.LIMIT_SETS_CHANGED, settings, before=was, after=now)


def _locked_sets(settings: SchoolSettings) -> list[LimitSet]:
    locked = SchoolSettings.objects.select_for_update().get(pk=settings.pk)
    return list(locked.limit_sets)


def _at(sets: list[LimitSet], place: int, based_on: str) -> LimitSet:
    found = sets[place] if place < len(sets) else None
    if found is None or version_of(found) != based_on:
        raise ChangedMeanwhile(
            _("Somebody else changed this set just now. Open it again, then change it.")
        )
    return found


def _refuse_in_use(settings: SchoolSettings, name: str) -> None:
    used = Exercise.objects.filter(
        plan__school=settings.school_id, acceptance_set=name, retired_at=None
    ).first()
    if used:
        raise InUse(
            _("The exercise “%(exercise)s” is judged by “%(name)s”. Give it another set first.")
            % {"exercise": used.title, "name": name}
        )
