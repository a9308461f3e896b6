"""The inspection family: what was seen on the weld, by its ISO 6520-1 number."""

from collections.abc import Iterator
from typing import Final

from weldlog.engine.facts import Facts
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.imperfection_list import IMPERFECTIONS, find, is_crack, key_of
from weldlog.engine.inspected import Fillet
from weldlog.engine.limit_sets import SETS
from weldlog.engine.measured import throats_possible_mm
from weldlog.engine.stock import series
from weldlog.engine.written import in_units, span

__all__ = ["IMPERFECTIONS", "RULES", "check", "find", "is_crack"]

CRACK: Final = Rule(
    id="inspection-crack",
    severity="stop",
    says="A crack was found. No crack is accepted, whatever its size: show it to your instructor, "
    "find out why it cracked, and make the coupon again.",
    source="prep-S2",
    fields=("imperfections",),
)
UNKNOWN_NUMBER: Final = Rule(
    id="inspection-number-unknown",
    severity="advise",
    says="Imperfection {number} is not in the classroom list, so nothing is said about its causes "
    "or its limit. Check the number in the imperfection guide.",
    source="prep-S23",
    fields=("imperfections.number",),
)
PENETRANT: Final = Rule(
    id="inspection-penetrant",
    severity="warn",
    says="The penetrant test showed indications. A line is never accepted and a round pore only up "
    "to 1.5 mm: show it to your instructor, and log each one as an imperfection with its size.",
    source="prep-S2",
    fields=("penetrant",),
)
STRAY_STRIKE: Final = Rule(
    id="inspection-stray-strike",
    severity="warn",
    says="An arc was struck beside the joint. It melts the metal there without filler, and a spot "
    "like that cracks in 6xxx alloys: grind it out, look for a crack with a lens, and next time "
    "strike in the groove or on a tab.",
    source="alloy-S21f",
    fields=("imperfections", "base_metals.alloy"),
)
UNKNOWN_SET: Final = Rule(
    id="inspection-set-unknown",
    severity="advise",
    says="The set of limits that this coupon names is not known here, so no size was judged by it. "
    "Choose the classroom set, a level of ISO 10042 or a set of your school.",
    source="practice",
    fields=("acceptance_set",),
)
THROAT_FOR_LEGS: Final = Rule(
    id="inspection-throat-for-legs",
    severity="warn",
    says="A throat of {throat_text} cannot be with the legs that were logged: they allow "
    "{possible_text}. Measure throat, legs and convexity again.",
    source="practice",
    fields=("fillet.throat_mm", "fillet.leg_1_mm", "fillet.leg_2_mm", "fillet.convexity_mm"),
)
RULES: Final[tuple[Rule, ...]] = (
    CRACK,
    PENETRANT,
    STRAY_STRIKE,
    THROAT_FOR_LEGS,
    UNKNOWN_NUMBER,
    UNKNOWN_SET,
)


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Judge what was seen on the weld; limits of size belong to ``acceptance``."""
    if case.facts.penetrant == "indications":
        yield PENETRANT.found(measured="indications")
    if case.facts.fillet is not None:
        yield from _throat(case.facts.fillet)
    chosen = case.facts.acceptance_set
    if chosen and chosen not in SETS and chosen not in case.school.own_sets:
        yield UNKNOWN_SET.found(measured=chosen)
    seen = case.facts.imperfections
    if seen is None:
        yield NotAssessed("imperfections", ("imperfections",))
        return
    if any(is_crack(each.number) for each in seen):
        yield CRACK.found()
    if any(key_of(each.number) == "stray_arc" for each in seen):
        yield from _stray_strike(case.facts)
    unknown = dict.fromkeys(each.number for each in seen if find(each.number) is None)
    for number in unknown:
        yield UNKNOWN_NUMBER.found(measured=number, number=number)


def _stray_strike(facts: Facts) -> Iterator[Finding]:
    """Warn of a spot that was melted without filler on an alloy that cracks there."""
    if any(series(side.alloy) == "6" for side in facts.base_metals or ()):
        yield STRAY_STRIKE.found()


def _throat(fillet: Fillet) -> Iterator[Finding]:
    """Question a throat that no fillet with these legs has."""
    throat, possible = fillet.throat_mm, throats_possible_mm(fillet)
    if throat is None or possible is None or possible[0] <= throat <= possible[1]:
        return
    least, most = possible
    yield THROAT_FOR_LEGS.found(
        measured=throat,
        limit=most if throat > most else least,
        throat_text=in_units(throat, "mm"),
        possible_text=span(least, most, "mm") if least else f"up to {in_units(most, 'mm')}",
    )
