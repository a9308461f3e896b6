"""The current against the thickness of the metal, for either process."""

import math
from collections.abc import Iterator, Set
from functools import lru_cache
from typing import Final

from weldlog.engine.electrics import thickness_rule_current_a
from weldlog.engine.facts import Facts, Process, Weld
from weldlog.engine.findings import Finding, Rule, Severity
from weldlog.engine.plausibility import Band, band
from weldlog.engine.runs import alternating_current, amps_of, runs
from weldlog.engine.setup_guide import starting_ranges
from weldlog.engine.sources import Sourced
from weldlog.engine.written import in_units, span

GREATEST_THICKNESS_MM: Final = 6.5
"""Thickness up to which the rule of thumb for GTAW holds [mm]."""
THICKNESSES_MM: Final = (2.0, 12.0)
"""From where to where the starting ranges of GMAW go [mm]."""
WIDENED: Final = (Sourced(0.7, "practice"), Sourced(1.4, "practice"))
"""Factors on the ends of the starting ranges of GMAW, beyond which a current is asked about: the
tables differ by 10 % between makers, and pulsed transfer runs cooler."""

CURRENT_FOR_THICKNESS = Rule(
    id="entry-current-for-thickness",
    severity="warn",
    says="Check the entry: {logged_text} is unusual for this thickness. About {usual_text} is "
    "usual; check the current, the thickness and its unit.",
    source="heat-S52",
    fields=("current_a", "base_metals.thickness_mm"),
)
GMAW_CURRENT_FOR_THICKNESS = Rule(
    id="entry-gmaw-current-for-thickness",
    severity="warn",
    says="Check the entry: {logged_text} is unusual for GMAW of this thickness. About {usual_text} "
    "is usual; check the current, the thickness and its unit.",
    source="heat-S25",
    fields=("current_a", "base_metals.thickness_mm"),
)
RULES: Final = (CURRENT_FOR_THICKNESS, GMAW_CURRENT_FOR_THICKNESS)
_WELDS: Final[tuple[Weld, ...]] = ("fillet", "v_groove")


def thicknesses(facts: Facts) -> tuple[float, float] | None:
    """Return the thinnest and the thickest metal [mm]."""
    metals = facts.base_metals or ()
    known = [each.thickness_mm for each in metals if each.thickness_mm is not None]
    return (min(known), max(known)) if known else None


def current_for(facts: Facts) -> Band | None:
    """Return the band of the current on the metal of a coupon, or None where it is not known."""
    sizes = thicknesses(facts)
    return current_band(facts.process, *sizes) if sizes else None


@lru_cache(maxsize=1024)  # a class welds a few thicknesses over and over
def current_band(process: Process, thickness_mm: float, other_mm: float) -> Band:
    """Return the band of the current on two thicknesses, the thinner one first [A].

    GTAW: 0.6 to 1.6 times one amp for each 0.001 in (2.2 times below 1.5 mm), at most 0.2 to 3
    times. Above 6.5 mm that rule asks for too much: what it asks for there is the least, and the
    most is that of class machines. GMAW: the starting ranges, widened to 0.7 to 1.4 times.

    >>> low, high = current_band("GTAW", 3.175, 3.175).soft
    >>> round(low), round(high)
    (75, 200)
    >>> low, high = current_band("GMAW", 6, 6).soft
    >>> round(low), round(high)
    (126, 322)
    """
    machine = band(process, "current_a")
    most = machine.hard[1] if machine else math.inf
    if process == "GMAW":
        return _gmaw(thickness_mm, other_mm, most)
    thin = thickness_rule_current_a(min(thickness_mm, GREATEST_THICKNESS_MM))
    if other_mm > GREATEST_THICKNESS_MM:
        return Band((0.6 * thin, most), (0.2 * thin, most), "A")
    thick = thickness_rule_current_a(other_mm)
    soft_factor = 2.2 if other_mm < 1.5 else 1.6
    return Band((0.6 * thin, soft_factor * thick), (0.2 * thin, 3 * thick), "A")


def _gmaw(thickness_mm: float, other_mm: float, most: float) -> Band:
    """Return the band of GMAW; thinner and thicker metal than printed counts as the last row."""
    thinnest, thickest = THICKNESSES_MM
    lowest, _ = _starting_a(max(thinnest, min(thickness_mm, thickest)))
    _, highest = _starting_a(max(other_mm, thinnest)) if other_mm <= thickest else (0, math.inf)
    low, high = WIDENED[0].value * lowest, min(most, WIDENED[1].value * highest)
    return Band((low, high), (0, math.inf), "A")


def _starting_a(thickness_mm: float) -> tuple[float, float]:
    """Return the starting range of GMAW for whatever weld [A]."""
    found = [starting_ranges("GMAW", weld, thickness_mm) for weld in _WELDS]
    usual = [each.current_a for each in found if each and each.current_a]
    return min(each.low for each in usual), max(each.high for each in usual)


def check(facts: Facts, questioned: Set[str]) -> Iterator[Finding]:
    """Hold the current of each run against the thickness, unless one of them was questioned."""
    usual = current_for(facts) if "base_metals.thickness_mm" not in questioned else None
    if usual is None:
        return
    for at, run in runs(facts):
        current = run.current_a
        if run is facts and facts.ac is not None:
            current = amps_of(run, alternating_current(facts))
        broken = usual.outside(current) if current is not None else None
        if current is not None and broken and at + "current_a" not in questioned:
            yield _found(facts.process, usual, current, broken, at + "current_a")


def _found(
    process: Process, usual: Band, current_a: float, broken: tuple[Severity, float], field: str
) -> Finding:
    severity, limit = broken
    rule = CURRENT_FOR_THICKNESS if process == "GTAW" else GMAW_CURRENT_FOR_THICKNESS
    return rule.found(
        severity=severity,
        fields=(field, "base_metals.thickness_mm"),
        measured=current_a,
        limit=limit,
        logged=current_a,
        low=usual.soft[0],
        high=usual.soft[1],
        logged_text=in_units(current_a, "A", unlike=limit),
        usual_text=span(round(usual.soft[0]), round(usual.soft[1]), "A"),
    )
