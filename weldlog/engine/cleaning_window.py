"""The time between cleaning and the arc, and the times of day of the steps (notes row P14)."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import pairwise
from typing import Final

from weldlog.engine.facts import CleaningStep, Facts
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule

COVER_AFTER_H: Final = 0.5
"""Wait after which cleaned parts are covered [h]; common practice, no source."""

WINDOW: Final = Rule(
    id="cleaning-window",
    severity="warn",
    says="{hours:.1f} h passed between cleaning and the arc; after {allowed:g} h new oxide, damp "
    "and dust have settled. Brush again lightly, wipe, and weld soon.",
    source="prep-S1",
    fields=("cleaning", "arc_started_at"),
)
REDO: Final = Rule(
    id="cleaning-redo",
    severity="stop",
    says="{hours:.1f} h passed between cleaning and the arc, more than {allowed:g} h. Start again: "
    "degrease, let it dry, brush, then weld.",
    source="practice",
    fields=("cleaning", "arc_started_at"),
)
UNCOVERED: Final = Rule(
    id="cleaning-uncovered",
    severity="advise",
    says="The cleaned metal waited {minutes:.0f} min without a cover. Clean paper or plastic film "
    "keeps dust and damp off.",
    source="prep-S1",
    fields=("covered_since_cleaning",),
)
TIMES_DISAGREE: Final = Rule(
    id="cleaning-times-disagree",
    severity="warn",
    says="The times of the cleaning steps and of the arc do not follow the order in which they are "
    "listed. Which is right, the order or the times? Correct the one that is wrong.",
    source="practice",
    fields=("cleaning", "arc_started_at"),
)
RULES: Final = (WINDOW, REDO, UNCOVERED, TIMES_DISAGREE)


def check_window(case: Case, steps: Sequence[CleaningStep]) -> Iterator[Finding | NotAssessed]:
    """Judge the times of the steps, and the wait from the last oxide removal to the arc.

    Up to the school's window nothing is said; above it a warning; above the school's limit for
    doing everything again a stop. Equality is inside.
    """
    facts = case.facts
    if _disagree(facts, steps):
        yield TIMES_DISAGREE.found()
    elif any(each.step == "remove_oxide" for each in steps):
        hours = hours_since_cleaning(facts, steps)
        if hours is None:
            wanted = ("cleaning.at", "arc_started_at", "minutes_since_cleaning")
            yield NotAssessed("time from cleaning to the arc", wanted)
        else:
            yield from _wait(case, hours)
            yield from _cover(facts, steps, hours)


def hours_since_cleaning(facts: Facts, steps: Sequence[CleaningStep]) -> float | None:
    """Return the time from the last oxide removal to the arc [h], or None when it is not known.

    Times of day are used where both are logged, else ``minutes_since_cleaning``.
    """
    cleaned = [each.at for each in steps if each.step == "remove_oxide"][-1:]
    if cleaned and cleaned[0] and facts.arc_started_at:
        return (facts.arc_started_at - cleaned[0]).total_seconds() / 3600
    minutes = facts.minutes_since_cleaning
    return None if minutes is None else minutes / 60


def _disagree(facts: Facts, steps: Sequence[CleaningStep]) -> bool:
    times: list[datetime | None] = [*(each.at for each in steps), facts.arc_started_at]
    known = [time for time in times if time]
    backward = any(later < earlier for earlier, later in pairwise(known))
    return backward or (facts.minutes_since_cleaning or 0) < 0


def _wait(case: Case, hours: float) -> Iterator[Finding]:
    school = case.school
    for rule, limit in ((REDO, school.cleaning_redo_h), (WINDOW, school.cleaning_window_h)):
        if hours > limit:
            yield rule.found(measured=round(hours, 2), limit=limit, hours=hours, allowed=limit)
            return


def _cover(
    facts: Facts, steps: Sequence[CleaningStep], hours: float
) -> Iterator[Finding | NotAssessed]:
    covered = facts.covered_since_cleaning
    if hours <= COVER_AFTER_H or covered or any(each.step == "cover" for each in steps):
        return
    if covered is None:
        yield NotAssessed("cover while the cleaned metal waited", ("covered_since_cleaning",))
    else:
        yield UNCOVERED.found(minutes=hours * 60)
