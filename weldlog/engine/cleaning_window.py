"""The time between cleaning and the arc, and the times of day of the steps (notes row P14)."""

import math
from collections.abc import Iterator, Sequence
from typing import Final

from weldlog.engine.facts import CleaningStep, Facts
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.written import plain

WAIT_MARGIN_MIN: Final = 10
"""By how much a wait that was typed may miss the times of day [min]; common practice, no source."""

COVER_AFTER_MIN: Final = 30
"""Wait after which cleaned parts are covered [min]; common practice, no source."""

WINDOW: Final = Rule(
    id="cleaning-window",
    severity="warn",
    says="{waited} passed between cleaning and the arc; after {allowed_text} new oxide, damp and "
    "dust have settled. Brush again lightly, wipe, and weld soon.",
    source="prep-S1",
    fields=("cleaning", "arc_started_at"),
)
REDO: Final = Rule(
    id="cleaning-redo",
    severity="stop",
    says="{waited} passed between cleaning and the arc, more than {allowed_text}. Start again: "
    "degrease, let it dry, brush, then weld.",
    source="practice",
    fields=("cleaning", "arc_started_at"),
)
UNCOVERED: Final = Rule(
    id="cleaning-uncovered",
    severity="advise",
    says="The cleaned metal waited {waited} without a cover. Clean paper or plastic film keeps "
    "dust and damp off.",
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
WAIT_DISAGREES: Final = Rule(
    id="cleaning-times-disagree-with-wait",
    severity="warn",
    says="The log gives {typed_text} from cleaning to the arc, and by the times of day cleaning "
    "{times_text} before the arc. Which is right? Correct the one that is wrong.",
    source="practice",
    fields=("minutes_since_cleaning", "cleaning", "arc_started_at"),
)
RULES: Final = (WINDOW, REDO, UNCOVERED, TIMES_DISAGREE, WAIT_DISAGREES)
_NOT_KNOWN: Final = NotAssessed(
    "time from cleaning to the arc", ("cleaning.at", "arc_started_at", "minutes_since_cleaning")
)


def check_window(case: Case, steps: Sequence[CleaningStep]) -> Iterator[Finding | NotAssessed]:
    """Judge the times of the steps, and the wait from the last oxide removal to the arc.

    Up to the school's window nothing is said; above it a warning; above the school's limit for
    doing everything again a stop. Equality is inside, to the minute.
    """
    facts = case.facts
    if times_disagree(facts, steps):
        yield TIMES_DISAGREE.found()
    elif any(each.step == "remove_oxide" for each in steps):
        minutes = _minutes(facts, steps)
        if minutes is None:
            yield _NOT_KNOWN
        else:
            yield from _typed_wait(facts, steps)
            yield from _wait(case, minutes)
            yield from _cover(facts, steps, minutes)


def hours_since_cleaning(facts: Facts, steps: Sequence[CleaningStep]) -> float | None:
    """Return the time from the last oxide removal to the arc [h], or None when it is not known.

    Times of day are used where both are logged, else ``minutes_since_cleaning``.
    """
    minutes = _minutes(facts, steps)
    return None if minutes is None else minutes / 60


def waited(minutes: float) -> str:
    """Write a time in hours and minutes; a minute that has begun counts.

    >>> [waited(each).replace(chr(160), " ") for each in (0, 45, 240, 240.5)]
    ['0 min', '45 min', '4 h', '4 h 1 min']
    """
    hours, rest = divmod(math.ceil(minutes), 60)
    parts = [f"{plain(hours)}\N{NO-BREAK SPACE}h"] if hours else []
    parts += [f"{rest}\N{NO-BREAK SPACE}min"] if rest or not hours else []
    return " ".join(parts)


def _minutes(facts: Facts, steps: Sequence[CleaningStep]) -> float | None:
    cleaned = None
    for each in steps:
        if each.step == "remove_oxide":
            cleaned = each.at
    if cleaned and facts.arc_started_at:
        return (facts.arc_started_at - cleaned).total_seconds() / 60
    return facts.minutes_since_cleaning


def times_disagree(facts: Facts, steps: Sequence[CleaningStep]) -> bool:
    """Return whether the times of the steps and of the arc run backward."""
    earlier = None
    for time in (*(each.at for each in steps), facts.arc_started_at):
        if time:
            if earlier and time < earlier:
                return True
            earlier = time
    return (facts.minutes_since_cleaning or 0) < 0


def _typed_wait(facts: Facts, steps: Sequence[CleaningStep]) -> Iterator[Finding]:
    """Question a wait that fits none of the steps: nobody says from which one it was counted."""
    typed, arc = facts.minutes_since_cleaning, facts.arc_started_at
    times = [each.at for each in steps if each.at]
    if typed is None or arc is None or not times:
        return
    began, ended = ((arc - each).total_seconds() / 60 for each in (times[0], times[-1]))
    if typed > began + WAIT_MARGIN_MIN or typed < ended - WAIT_MARGIN_MIN:
        told = f"began {waited(began)}" if typed > began else f"ended {waited(ended)}"
        yield WAIT_DISAGREES.found(
            measured=typed,
            limit=began if typed > began else ended,
            typed_text=waited(typed),
            times_text=told,
        )


def _wait(case: Case, minutes: float) -> Iterator[Finding]:
    school = case.school
    for rule, limit in ((REDO, school.cleaning_redo_h), (WINDOW, school.cleaning_window_h)):
        # A school that means 1 h 20 min types 1.33 h.
        if minutes > (allowed := round(60 * limit)):
            yield rule.found(
                measured=round(minutes / 60, 2),
                limit=limit,
                hours=minutes / 60,
                allowed=limit,
                waited=waited(minutes),
                allowed_text=waited(allowed),
            )
            return


def _cover(
    facts: Facts, steps: Sequence[CleaningStep], minutes: float
) -> Iterator[Finding | NotAssessed]:
    covered = facts.covered_since_cleaning
    if minutes <= COVER_AFTER_MIN or covered or any(each.step == "cover" for each in steps):
        return
    if covered is None:
        yield NotAssessed("cover while the cleaned metal waited", ("covered_since_cleaning",))
    else:
        yield UNCOVERED.found(minutes=minutes, waited=waited(minutes))
