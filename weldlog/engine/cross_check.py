"""Numbers that do not fit together: a sharper test than any limit on one number alone."""

from collections.abc import Iterator, Set
from typing import Final

from weldlog.engine import speed_check
from weldlog.engine.electrics import thickness_rule_current_a
from weldlog.engine.facts import NO_FILLER, Facts, Filler
from weldlog.engine.findings import Finding, Rule
from weldlog.engine.metal_balance import burn_off_mm3_per_a_s, wire_feed_for_current_mm_s
from weldlog.engine.plausibility import Band, band
from weldlog.engine.runs import runs
from weldlog.engine.units import convert
from weldlog.engine.written import in_units, span

BURN_OFF_SOFT_MM3_PER_A_S: Final = (0.75, 1.35)
GREATEST_THICKNESS_MM: Final = 6.5

SWAPPED = Rule(
    id="entry-volts-and-amps-swapped",
    severity="warn",
    says="Check the entry: the log says {logged_text}. Did you mean {other_text}? The two look "
    "swapped; correct them if so.",
    source="practice",
    fields=("current_a", "voltage_v"),
)
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
    CURRENT_FOR_THICKNESS,
    ROD_FOR_THICKNESS,
    WIRE_FEED_FOR_CURRENT,
    speed_check.DISAGREE,
    GMAW_WITHOUT_FILLER,
)


def check(facts: Facts, questioned: Set[str]) -> Iterator[Finding]:
    """Hold the numbers of a coupon against each other.

    Parameters
    ----------
    facts : Facts
    questioned : set of str
        Members that were questioned alone: nothing else is held against those.
    """
    if facts.process == "GTAW":
        yield from _for_thickness(facts, questioned)
    else:
        yield from _wire_feed_for_current(facts, questioned)
        if facts.filler is NO_FILLER:
            yield GMAW_WITHOUT_FILLER.found(measured="no filler")
    yield from speed_check.check(facts, questioned)


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
    suiting = _current_for(facts) if facts.process == "GTAW" else None
    return (suiting or amps).is_usual(current_a)


def _thicknesses(facts: Facts) -> tuple[float, float] | None:
    """Return the thinnest and the thickest metal [mm]."""
    metals = facts.base_metals or ()
    known = [each.thickness_mm for each in metals if each.thickness_mm is not None]
    return (min(known), max(known)) if known else None


def current_band(thickness_mm: float, other_mm: float) -> Band:
    """Return the band of the GTAW current on two thicknesses, the thinner one first [A].

    0.6 to 1.6 times one amp for each 0.001 in (2.2 times below 1.5 mm), at most 0.2 to 3 times;
    up to 6.5 mm, above which the rule of thumb asks for too much.

    >>> low, high = current_band(3.175, 3.175).soft
    >>> round(low), round(high)
    (75, 200)
    """
    thin, thick = thickness_rule_current_a(thickness_mm), thickness_rule_current_a(other_mm)
    soft_factor = 2.2 if other_mm < 1.5 else 1.6
    return Band((0.6 * thin, soft_factor * thick), (0.2 * thin, 3 * thick), "A")


def _current_for(facts: Facts) -> Band | None:
    sizes = _thicknesses(facts)
    return current_band(*sizes) if sizes and sizes[1] <= GREATEST_THICKNESS_MM else None


def _for_thickness(facts: Facts, questioned: Set[str]) -> Iterator[Finding]:
    """Hold the current and the rod of GTAW against the thickness."""
    if facts.base_metals is None or "base_metals.thickness_mm" in questioned:
        return
    usual = _current_for(facts)
    if usual:
        yield from _current_for_thickness(facts, usual, questioned)
    if isinstance(facts.filler, Filler) and "filler.diameter_mm" not in questioned:
        yield from _rod_for_thickness(facts, facts.filler.diameter_mm)


def _current_for_thickness(facts: Facts, usual: Band, questioned: Set[str]) -> Iterator[Finding]:
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


def _rod_for_thickness(facts: Facts, rod_mm: float | None) -> Iterator[Finding]:
    sizes = _thicknesses(facts)
    limit = 2 * sizes[1] if sizes else None
    if rod_mm is not None and limit is not None and rod_mm > limit:
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
