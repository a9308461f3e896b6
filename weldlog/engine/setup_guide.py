"""Where to start: usual settings for a process, a kind of weld and a thickness.

A starting range is a place to begin on scrap, never a limit. Several of the GTAW tables probably
share one old gas-company table, and the travel speeds of heat-S24 are of doubtful alignment; the
GTAW arc volts are common practice, without a source.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from weldlog.engine.facts import Process, Weld
from weldlog.engine.sources import source
from weldlog.engine.tables import rows
from weldlog.engine.units import to_base


@dataclass(frozen=True, slots=True)
class Range:
    """From ``low`` to ``high`` [base unit]; the same number twice where a source prints one."""

    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StartingRanges:
    """Usual settings for one thickness; ``None`` where the sources print nothing."""

    thickness_mm: float
    current_a: Range | None
    voltage_v: Range | None
    travel_speed_mm_s: Range | None
    gas_flow_l_min: Range | None
    filler_diameter_mm: Range | None
    tungsten_diameter_mm: Range | None
    sources: tuple[str, ...]


def _range(text: str, unit: str) -> Range | None:
    if not text:
        return None
    low, _, high = text.partition("-")
    return Range(to_base(float(low), unit), to_base(float(high or low), unit))


def _row(row: dict[str, str]) -> StartingRanges:
    sources = tuple(source(key).key for key in row["sources"].split())
    return StartingRanges(
        thickness_mm=float(row["thickness_mm"]),
        current_a=_range(row["current_a"], "A"),
        voltage_v=_range(row["voltage_v"], "V"),
        travel_speed_mm_s=_range(row["travel_mm_min"], "mm/min"),
        gas_flow_l_min=_range(row["gas_l_min"], "L/min"),
        filler_diameter_mm=_range(row["filler_mm"], "mm"),
        tungsten_diameter_mm=_range(row["tungsten_mm"], "mm"),
        sources=sources,
    )


def _read() -> dict[tuple[str, str], list[StartingRanges]]:
    """Return the rows of each process and kind of weld, thinnest first, as in the table."""
    found: dict[tuple[str, str], list[StartingRanges]] = {}
    for row in rows("starting_ranges.tsv"):
        found.setdefault((row["process"], row["weld"]), []).append(_row(row))
    return found


_ROWS: Final = _read()


def starting_ranges(process: Process, weld: Weld, thickness_mm: float) -> StartingRanges | None:
    """Return usual settings, drawn as a straight line between the rows of the table.

    Parameters
    ----------
    process, weld : str
        A bead on plate starts like a groove.
    thickness_mm : float
        Of the plate [mm]; GTAW 1.6 to 6.4, GMAW 2 to 6 (fillets to 12).

    Returns
    -------
    StartingRanges or None
        None outside the thicknesses of the table. Sizes of filler and tungsten are those of both
        neighbors, since they come in steps.

    Source: the keys in ``sources``.

    >>> starting_ranges("GTAW", "fillet", 3.2).current_a
    Range(low=125.0, high=160.0)
    >>> starting_ranges("GTAW", "fillet", 25) is None
    True
    """
    kind = "fillet" if weld == "fillet" else "groove"
    table = _ROWS[process, kind]
    for thin, thick in pairwise(table):
        if thin.thickness_mm <= thickness_mm <= thick.thickness_mm:
            return _between(thin, thick, thickness_mm)
    return None


def _between(thin: StartingRanges, thick: StartingRanges, thickness_mm: float) -> StartingRanges:
    share = (thickness_mm - thin.thickness_mm) / (thick.thickness_mm - thin.thickness_mm)
    if share in (0, 1):
        return thick if share else thin

    def line(one: Range | None, other: Range | None) -> Range | None:
        if one is None or other is None:
            return None
        low = one.low + share * (other.low - one.low)
        return Range(low, one.high + share * (other.high - one.high))

    return StartingRanges(
        thickness_mm=thickness_mm,
        current_a=line(thin.current_a, thick.current_a),
        voltage_v=line(thin.voltage_v, thick.voltage_v),
        travel_speed_mm_s=line(thin.travel_speed_mm_s, thick.travel_speed_mm_s),
        gas_flow_l_min=line(thin.gas_flow_l_min, thick.gas_flow_l_min),
        filler_diameter_mm=_both(thin.filler_diameter_mm, thick.filler_diameter_mm),
        tungsten_diameter_mm=_both(thin.tungsten_diameter_mm, thick.tungsten_diameter_mm),
        sources=tuple(sorted({*thin.sources, *thick.sources})),
    )


def _both(one: Range | None, other: Range | None) -> Range | None:
    if one is None or other is None:
        return None
    return Range(min(one.low, other.low), max(one.high, other.high))
