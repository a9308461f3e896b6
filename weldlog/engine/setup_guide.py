"""Where to start: usual settings for a process, a kind of weld and a thickness.

A starting range is a place to begin on scrap, never a limit. Several of the GTAW tables probably
share one old gas-company table, so that they count as one source; what is doubtful in a table
stands in the note of its figure. Where no source speaks there is no number.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import lru_cache
from itertools import pairwise
from typing import Final, NamedTuple

from weldlog.engine.facts import Process, Weld
from weldlog.engine.sources import SOURCES, STANDINGS, Standing, source
from weldlog.engine.tables import rows
from weldlog.engine.units import to_base


@dataclass(frozen=True, slots=True)
class Range:
    """From ``low`` to ``high`` [base unit]; the same number twice where a source prints one.

    ``sources`` are the keys that it rests on, ``between`` says that it was worked out from the
    two thicknesses beside it, and ``notes`` says what is doubtful or special about it.
    """

    low: float
    high: float
    sources: tuple[str, ...] = field(default=(), compare=False, repr=False)
    notes: tuple[str, ...] = field(default=(), compare=False, repr=False)
    between: bool = field(default=False, compare=False, repr=False)

    @property
    def standing(self) -> Standing:
        """The weakest standing among its sources.

        >>> starting_ranges("GTAW", "fillet", 3.2).voltage_v.standing
        'practice'
        """
        return max((SOURCES[key].standing for key in self.sources), key=STANDINGS.index)


@dataclass(frozen=True, slots=True, kw_only=True)
class StartingRanges:
    """Usual settings for one thickness; ``None`` where the sources print nothing.

    Members carry their unit in the name; the size of the rod or wire is ``filler_diameter_mm``,
    ``nozzle_diameter_mm`` is the gas nozzle of GTAW and ``nozzle_to_work_mm`` its distance in
    GMAW. ``sources`` are the keys of all of them.
    """

    thickness_mm: float
    current_a: Range | None = None
    voltage_v: Range | None = None
    wire_feed_mm_s: Range | None = None
    travel_speed_mm_s: Range | None = None
    gas_flow_l_min: Range | None = None
    filler_diameter_mm: Range | None = None
    tungsten_diameter_mm: Range | None = None
    nozzle_diameter_mm: Range | None = None
    nozzle_to_work_mm: Range | None = None
    sources: tuple[str, ...] = ()


MEMBERS: Final = tuple(
    each.name for each in fields(StartingRanges) if each.name not in ("thickness_mm", "sources")
)
# Sizes come in steps, and wire feed goes with the size of the wire: between two rows both count.
_STEPPED: Final = frozenset({"filler_diameter_mm", "tungsten_diameter_mm", "wire_feed_mm_s"})


class _Knot(NamedTuple):
    """A thickness [mm] that a source speaks of, and what it says."""

    thickness_mm: float
    said: Range


type _Table = Mapping[str, tuple[_Knot, ...]]


def _ends(text: str) -> tuple[float, float]:
    low, _, high = text.partition("-")
    return float(low), float(high or low)


def _knots(row: Mapping[str, str]) -> tuple[_Knot, ...]:
    """Return a row of the table at both ends of the thicknesses that it is printed for."""
    low, high = (to_base(each, row["unit"]) for each in _ends(row["range"]))
    keys = tuple(source(key).key for key in row["sources"].split())
    said = Range(low, high, keys, (row["note"],) if row["note"] else ())
    return tuple(_Knot(thickness, said) for thickness in dict.fromkeys(_ends(row["thickness_mm"])))


def _read() -> dict[tuple[str, str], dict[str, tuple[_Knot, ...]]]:
    """Return what is printed for each process and kind of weld, member by member, thinnest first.

    Raises
    ------
    ValueError
        When a row names no member, or the thicknesses of a member do not rise.
    """
    found: dict[tuple[str, str], dict[str, tuple[_Knot, ...]]] = {}
    for row in rows("starting_ranges.tsv"):
        member, table = row["member"], found.setdefault((row["process"], row["weld"]), {})
        table[member] = table.get(member, ()) + _knots(row)
        thicknesses = [knot.thickness_mm for knot in table[member]]
        if member not in MEMBERS or thicknesses != sorted(set(thicknesses)):
            raise ValueError(f"starting_ranges.tsv: {row['process']} {row['weld']} {member}")
    return found


_TABLES: Final = _read()


def _table(process: Process, weld: Weld) -> _Table:
    return _TABLES[process, "fillet" if weld == "fillet" else "groove"]


def thicknesses_mm(process: Process, weld: Weld) -> tuple[float, ...]:
    """Return the thicknesses that the sources print, thinnest first [mm].

    >>> thicknesses_mm("GMAW", "fillet")
    (2.0, 3.0, 5.0, 6.0, 12.0)
    """
    knots = (knot for each in _table(process, weld).values() for knot in each)
    return tuple(sorted({knot.thickness_mm for knot in knots}))


@lru_cache(maxsize=1024)  # a class welds a few thicknesses over and over
def starting_ranges(process: Process, weld: Weld, thickness_mm: float) -> StartingRanges | None:
    """Return usual settings, drawn as a straight line between the printed thicknesses.

    Parameters
    ----------
    process, weld : str
        A bead on plate starts like a groove.
    thickness_mm : float
        Of the plate [mm]; GTAW 0.8 to 6.4, GMAW 2 to 12.5 (fillets to 12).

    Returns
    -------
    StartingRanges or None
        None outside the thicknesses of the table. A member is None outside the thicknesses that
        its own sources print. Sizes and wire feed between two rows are those of both, since wire
        and tungsten come in steps.

    Source: the keys in ``sources`` of each range.

    >>> starting_ranges("GTAW", "fillet", 3.2).current_a
    Range(low=125.0, high=160.0)
    >>> starting_ranges("GTAW", "fillet", 1.0).current_a is None
    True
    >>> starting_ranges("GTAW", "fillet", 25) is None
    True
    """
    found = {
        member: said
        for member, knots in _table(process, weld).items()
        if (said := _at(thickness_mm, knots, stepped=member in _STEPPED)) is not None
    }
    if not found:
        return None
    keys = sorted({key for said in found.values() for key in said.sources})
    return StartingRanges(thickness_mm=thickness_mm, sources=tuple(keys), **found)


def _at(thickness_mm: float, knots: tuple[_Knot, ...], *, stepped: bool) -> Range | None:
    for knot in knots:
        if knot.thickness_mm == thickness_mm:
            return knot.said
    for thin, thick in pairwise(knots):
        if thin.thickness_mm < thickness_mm < thick.thickness_mm:
            if thin.said is thick.said:
                return thin.said
            apart = thick.thickness_mm - thin.thickness_mm
            share = (thickness_mm - thin.thickness_mm) / apart
            return _between(thin.said, thick.said, None if stepped else share)
    return None


def _between(one: Range, other: Range, share: float | None) -> Range:
    """Return what lies between two ranges: so far along the line, or all of both."""
    if share is None:
        low, high = min(one.low, other.low), max(one.high, other.high)
    else:
        low = one.low + share * (other.low - one.low)
        high = one.high + share * (other.high - one.high)
    keys = tuple(dict.fromkeys(one.sources + other.sources))
    notes = tuple(dict.fromkeys(one.notes + other.notes))
    return Range(low, high, keys, notes, between=True)
