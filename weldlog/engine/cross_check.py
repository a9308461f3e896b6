"""Numbers that do not fit together: a sharper test than any limit on one number alone."""

from collections.abc import Iterator
from typing import Final

from weldlog.engine.electrics import thickness_rule_current_a
from weldlog.engine.facts import NO_FILLER, Facts, Filler
from weldlog.engine.findings import Finding, Rule
from weldlog.engine.metal_balance import burn_off_mm3_per_a_s, wire_feed_for_current_mm_s
from weldlog.engine.plausibility import Band
from weldlog.engine.runs import derived_speed, runs
from weldlog.engine.units import convert
from weldlog.engine.written import in_units, span

BURN_OFF_SOFT_MM3_PER_A_S: Final = (0.75, 1.35)
SPEEDS_DIFFER_SOFT: Final = 0.05
SPEEDS_DIFFER_HARD: Final = 0.20
GREATEST_THICKNESS_MM: Final = 6.5

CURRENT_FOR_THICKNESS = Rule(
    id="entry-current-for-thickness",
    severity="warn",
    says="Check the entry: {logged_text} is unusual for this thickness. About {usual_text} is "
    "usual; check the current, the thickness and its unit.",
    source="heat-S52",
    fields=("current_a", "base_metals.thickness_mm"),
)
ROD_FOR_THICKNESS = Rule(
    id="entry-rod-for-thickness",
    severity="warn",
    says="Check the entry: a rod of {logged_text} is thick for this metal. Up to twice the "
    "thickness, {high_text}, is usual; check both sizes.",
    source="heat-S24",
    fields=("filler.diameter_mm", "base_metals.thickness_mm"),
)
WIRE_FEED_FOR_CURRENT = Rule(
    id="entry-wire-feed-for-current",
    severity="warn",
    says="Check the entry: a wire feed of {logged_text} does not fit {current_text}, which melt "
    "about {usual_text} of aluminum wire of this size. Check wire size, wire feed and current.",
    source="heat-S25",
    fields=("wire_feed_mm_s", "current_a", "filler.diameter_mm"),
)
SPEEDS_DISAGREE = Rule(
    id="entry-travel-speed-disagrees",
    severity="warn",
    says="Check the entry: length over arc time gives {derived_text}, the travel speed as typed is "
    "{logged_text}. The figures use the one as typed; check all three.",
    source="practice",
    fields=("travel_speed_mm_s", "weld_length_mm", "arc_time_s"),
)
GMAW_WITHOUT_FILLER = Rule(
    id="entry-gmaw-without-filler",
    severity="warn",
    says="Check the entry: it says no filler, and the wire of GMAW always is one. Log what the "
    "spool says, or correct the process.",
    source="practice",
    fields=("filler", "process"),
)
RULES: Final = (
    CURRENT_FOR_THICKNESS,
    ROD_FOR_THICKNESS,
    WIRE_FEED_FOR_CURRENT,
    SPEEDS_DISAGREE,
    GMAW_WITHOUT_FILLER,
)


def check(facts: Facts, questioned: set[str]) -> Iterator[Finding]:
    """Hold the numbers of a coupon against each other.

    Parameters
    ----------
    facts : Facts
    questioned : set of str
        Members that were questioned alone: nothing else is held against those.
    """
    if "base_metals.thickness_mm" not in questioned:
        yield from _current_for_thickness(facts, questioned)
        if "filler.diameter_mm" not in questioned:
            yield from _rod_for_thickness(facts)
    yield from _speeds_disagree(facts)
    yield from _wire_feed_for_current(facts, questioned)
    if facts.process == "GMAW" and facts.filler is NO_FILLER:
        yield GMAW_WITHOUT_FILLER.found(measured="no filler")


def _thicknesses(facts: Facts) -> list[float]:
    metals = facts.base_metals or ()
    return sorted(each.thickness_mm for each in metals if each.thickness_mm is not None)


def current_band(thickness_mm: float, other_mm: float) -> Band:
    """Return the band of the GTAW current on two thicknesses, the thinner one first [A].

    0.6 to 1.6 times one amp for each 0.001 in (2.2 times below 1.5 mm), at most 0.2 to 3 times;
    up to 6.5 mm, above which the rule of thumb asks for too much.
    """
    thin, thick = thickness_rule_current_a(thickness_mm), thickness_rule_current_a(other_mm)
    soft_factor = 2.2 if other_mm < 1.5 else 1.6
    return Band((0.6 * thin, soft_factor * thick), (0.2 * thin, 3 * thick), "A")


def _current_for_thickness(facts: Facts, questioned: set[str]) -> Iterator[Finding]:
    thicknesses = _thicknesses(facts)
    if facts.process != "GTAW" or not thicknesses or thicknesses[-1] > GREATEST_THICKNESS_MM:
        return
    usual = current_band(thicknesses[0], thicknesses[-1])
    for at, run in runs(facts):
        broken = usual.outside(run.current_a) if run.current_a is not None else None
        if broken and at + "current_a" not in questioned:
            yield CURRENT_FOR_THICKNESS.found(
                severity=broken[0],
                fields=(at + "current_a", "base_metals.thickness_mm"),
                measured=run.current_a,
                limit=broken[1],
                logged=run.current_a,
                low=usual.soft[0],
                high=usual.soft[1],
                logged_text=in_units(run.current_a or 0, "A", unlike=broken[1]),
                usual_text=span(round(usual.soft[0]), round(usual.soft[1]), "A"),
            )


def _rod_for_thickness(facts: Facts) -> Iterator[Finding]:
    thicknesses, filler = _thicknesses(facts), facts.filler
    if facts.process != "GTAW" or not thicknesses or not isinstance(filler, Filler):
        return
    rod, limit = filler.diameter_mm, 2 * thicknesses[-1]
    if rod is not None and rod > limit:
        yield ROD_FOR_THICKNESS.found(
            measured=rod,
            limit=limit,
            logged=rod,
            high=limit,
            logged_text=in_units(rod, "mm", unlike=limit),
            high_text=in_units(limit, "mm"),
        )


def _speeds_disagree(facts: Facts) -> Iterator[Finding]:
    for at, run in runs(facts):
        typed, derived = run.travel_speed_mm_s, derived_speed(run)
        if typed is None or derived is None:
            continue
        apart = abs(derived - typed) / typed
        if apart > SPEEDS_DIFFER_SOFT:
            yield SPEEDS_DISAGREE.found(
                severity="stop" if apart > SPEEDS_DIFFER_HARD else "warn",
                fields=tuple(at + name for name in SPEEDS_DISAGREE.fields),
                measured=typed,
                limit=derived,
                logged=typed,
                derived=derived,
                logged_text=in_units(typed, "mm/s"),
                derived_text=in_units(derived, "mm/s", unlike=typed),
            )


def _wire_feed_for_current(facts: Facts, questioned: set[str]) -> Iterator[Finding]:
    wire = facts.filler.diameter_mm if isinstance(facts.filler, Filler) else None
    if facts.process != "GMAW" or wire is None or "filler.diameter_mm" in questioned:
        return
    low, high = BURN_OFF_SOFT_MM3_PER_A_S
    for at, run in runs(facts):
        feed, current = at + "wire_feed_mm_s", at + "current_a"
        if not run.wire_feed_mm_s or not run.current_a or questioned & {feed, current}:
            continue
        burn_off = burn_off_mm3_per_a_s(run.wire_feed_mm_s, wire, run.current_a)
        if not low <= burn_off <= high:
            yield WIRE_FEED_FOR_CURRENT.found(
                fields=(feed, current, "filler.diameter_mm"),
                measured=burn_off,
                limit=low if burn_off < low else high,
                logged=burn_off,
                low=low,
                high=high,
                logged_text=in_units(convert(run.wire_feed_mm_s, "mm/s", "m/min"), "m/min"),
                current_text=in_units(run.current_a, "A"),
                usual_text=_suiting_feeds(run.current_a, wire),
            )


def _suiting_feeds(current_a: float, wire_mm: float) -> str:
    """Write the wire feeds at which a current melts a wire of this size."""
    low, high = (
        wire_feed_for_current_mm_s(current_a, wire_mm, each) for each in BURN_OFF_SOFT_MM3_PER_A_S
    )
    return span(convert(low, "mm/s", "m/min"), convert(high, "mm/s", "m/min"), "m/min")
