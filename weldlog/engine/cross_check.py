"""Numbers that do not fit together: a sharper test than any limit on one number alone."""

from collections.abc import Iterator, Set
from typing import Final

from weldlog.engine import contradictions, current_check, energy_check, speed_check
from weldlog.engine.current_check import current_for, thicknesses
from weldlog.engine.facts import NO_FILLER, Facts, Filler
from weldlog.engine.findings import Finding, Rule
from weldlog.engine.metal_balance import burn_off_mm3_per_a_s, wire_feed_for_current_mm_s
from weldlog.engine.plausibility import Band, band
from weldlog.engine.runs import runs
from weldlog.engine.units import convert
from weldlog.engine.written import in_units, span

BURN_OFF_SOFT_MM3_PER_A_S: Final = (0.75, 1.35)

SWAPPED = Rule(
    id="entry-volts-and-amps-swapped",
    severity="warn",
    says="Check the entry: the log says {logged_text}. Did you mean {other_text}? The two look "
    "swapped; correct them if so.",
    source="practice",
    fields=("current_a", "voltage_v"),
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
GMAW_WITHOUT_FILLER = Rule(
    id="entry-gmaw-without-filler",
    severity="warn",
    says="Check the entry: it says no filler, and the wire of GMAW always is one. Log what the "
    "spool says, or correct the process.",
    source="practice",
    fields=("filler", "process"),
)
RULES: Final = (
    SWAPPED,
    *current_check.RULES,
    ROD_FOR_THICKNESS,
    WIRE_FEED_FOR_CURRENT,
    speed_check.DISAGREE,
    *energy_check.RULES,
    GMAW_WITHOUT_FILLER,
    *contradictions.RULES,
)


def check(facts: Facts, questioned: Set[str]) -> Iterator[Finding]:
    """Hold the numbers of a coupon against each other.

    Parameters
    ----------
    facts : Facts
    questioned : set of str
        Members that were questioned alone: nothing else is held against those.
    """
    yield from current_check.check(facts, questioned)
    if facts.process == "GTAW":
        yield from _rod_for_thickness(facts, questioned)
    else:
        yield from _wire_feed_for_current(facts, questioned)
        if facts.filler is NO_FILLER:
            yield GMAW_WITHOUT_FILLER.found(measured="no filler")
    yield from speed_check.check(facts, questioned)
    yield from energy_check.check(facts, questioned)
    yield from contradictions.check(facts)


def swapped(facts: Facts) -> Iterator[Finding]:
    """Ask about volts and amps that are unusual as they stand, and usual the other way round."""
    volts, amps = band(facts.process, "voltage_v"), band(facts.process, "current_a")
    for at, run in runs(facts):
        current, voltage = run.current_a, run.voltage_v
        if volts is None or amps is None or current is None or voltage is None:
            continue
        broken = volts.outside(voltage)
        if broken and volts.is_usual(current) and _may_be_current(facts, amps, voltage):
            yield SWAPPED.found(
                severity=broken[0],
                fields=(at + "current_a", at + "voltage_v"),
                measured=voltage,
                limit=broken[1],
                suggestion={"field": at + "current_a", "value": voltage, "typed_as": "V"},
                logged=current,
                logged_v=voltage,
                logged_text=f"{in_units(current, 'A')} and {in_units(voltage, 'V')}",
                other_text=f"{in_units(voltage, 'A')} and {in_units(current, 'V')}",
            )


def _may_be_current(facts: Facts, amps: Band, current_a: float) -> bool:
    """Return whether a current is usual, and where a thickness asks for one, for that too."""
    suiting = current_for(facts) if facts.process == "GTAW" else None
    return (suiting or amps).is_usual(current_a)


def _rod_for_thickness(facts: Facts, questioned: Set[str]) -> Iterator[Finding]:
    """Hold the rod of GTAW against the thickness."""
    sizes = thicknesses(facts)
    rod_mm = facts.filler.diameter_mm if isinstance(facts.filler, Filler) else None
    fields = ROD_FOR_THICKNESS.fields
    if sizes is None or rod_mm is None or not questioned.isdisjoint(fields):
        return
    limit = 2 * sizes[1]
    if rod_mm > limit:
        yield ROD_FOR_THICKNESS.found(
            measured=rod_mm,
            limit=limit,
            logged=rod_mm,
            high=limit,
            logged_text=in_units(rod_mm, "mm", unlike=limit),
            high_text=in_units(limit, "mm"),
        )


def _wire_feed_for_current(facts: Facts, questioned: Set[str]) -> Iterator[Finding]:
    wire = facts.filler.diameter_mm if isinstance(facts.filler, Filler) else None
    if wire is None or "filler.diameter_mm" in questioned:
        return
    low, high = BURN_OFF_SOFT_MM3_PER_A_S
    for at, run in runs(facts):
        if not run.wire_feed_mm_s or not run.current_a:
            continue
        burn_off = burn_off_mm3_per_a_s(run.wire_feed_mm_s, wire, run.current_a)
        fields = at + "wire_feed_mm_s", at + "current_a", "filler.diameter_mm"
        if not low <= burn_off <= high and questioned.isdisjoint(fields):
            yield WIRE_FEED_FOR_CURRENT.found(
                fields=fields,
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
