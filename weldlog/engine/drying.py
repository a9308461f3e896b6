"""Whether what was wiped on had dried: logged as a step, or told by the times of day.

A thin wipe of solvent is gone in minutes, so a log whose times leave it those minutes tells of the
drying though nobody wrote it down. Rinse water and cleaners are not thin wipes: they are wiped or
blown off, and that has to be logged.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from weldlog.engine.cleaning_done import EVAPORATED, FLAMMABLE, Done, done
from weldlog.engine.cleaning_window import times_disagree
from weldlog.engine.facts import CleaningStep, Facts

GONE_AFTER: Final = timedelta(minutes=5)
"""Time in which a thin wipe of solvent dries off; common practice, no source."""


def happened(facts: Facts) -> tuple[Done, ...]:
    """Return what was done to clean a coupon, and where a solvent had time to dry off by itself.

    ``EVAPORATED`` stands before the first step, or at the end before the flame or the arc, that by
    the times of day came 5 min or more after a solvent. Where a drying was logged right behind the
    solvent, and where the times contradict each other, nothing is added.

    >>> from datetime import UTC
    >>> nine, ten = (datetime(2026, 9, 14, hour, tzinfo=UTC) for hour in (9, 10))
    >>> wipe = CleaningStep(step="degrease", agent="acetone", at=nine)
    >>> brush = CleaningStep(step="remove_oxide", at=ten)
    >>> [each.step for each in happened(Facts(process="GTAW", cleaning=(wipe, brush)))]
    ['degrease', 'evaporated', 'remove_oxide']
    """
    steps = facts.cleaning or ()
    logged = done(steps)
    wet = [
        place
        for place, each in enumerate(steps)
        if each.at and each.agent in FLAMMABLE and not _dried_next(logged, place)
    ]
    if not wet or times_disagree(facts, steps):
        return logged
    flame = _flame(facts)
    gone = {place for each in wet if (place := _gone_before(steps, each, flame)) is not None}
    return tuple(_with(logged, gone))


def wet_at_the_arc(steps: Sequence[Done]) -> bool:
    """Return whether a solvent that burns was wiped on and not dried after it."""
    wet = False
    for step in steps:
        wet = not step.dries and (wet or step.agent in FLAMMABLE)
    return wet


def evaporated_unlogged(steps: Sequence[Done]) -> bool:
    """Return whether a solvent dried off by itself, and no drying was logged after it."""
    names = [each.step for each in steps]
    return "evaporated" in names and "dry" not in names[names.index("evaporated") :]


def _dried_next(logged: Sequence[Done], place: int) -> bool:
    return place + 1 < len(logged) and logged[place + 1].dries


def _flame(facts: Facts) -> datetime | None:
    """Return when the first flame or arc burned, None where a preheat leaves that open."""
    preheated = facts.preheat_c is not None or facts.preheat_minutes is not None
    return None if preheated else facts.arc_started_at


def _gone_before(steps: Sequence[CleaningStep], place: int, flame: datetime | None) -> int | None:
    """Return the place before which the solvent of a step had dried off, if it is known to."""
    wiped = steps[place].at
    times = (*(each.at for each in steps), flame)
    for later in range(place + 1, len(times)):
        time = times[later]
        if wiped and time and time - wiped >= GONE_AFTER:
            return later
    return None


def _with(logged: Sequence[Done], gone: set[int]) -> list[Done]:
    found: list[Done] = []
    for place, each in enumerate(logged):
        found += [EVAPORATED, each] if place in gone else [each]
    return [*found, EVAPORATED] if len(logged) in gone else found
