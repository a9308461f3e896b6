"""The state of the metal before it is cleaned: edges, storage and coating (rows P02, P04, P05)."""

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Final

from weldlog.engine.alloys import find
from weldlog.engine.cleaning_done import REMEMBERED, Done
from weldlog.engine.facts import BaseMetal, Coating, DiscCondition, Edge, Facts
from weldlog.engine.findings import Finding, NotAssessed, Rule
from weldlog.engine.rulebook import judge, read_rules
from weldlog.engine.written import in_units

DRESSED_MM: Final = 3.0
"""Depth taken off a thermally cut edge of 2xxx, 6xxx and 7xxx alloys [mm]; prep-S12, prep-S14."""

_THERMAL: Final = frozenset({"plasma", "laser", "oxy_fuel"})
_CRACKS_WHEN_CUT: Final = frozenset("267")
_WROUGHT: Final = re.compile(r"\D*([1-8])\d{3}(?!\d)")
_WET: Final = frozenset({"outdoors", "immersed"})
_BRUSHES: Final = frozenset({"stainless_hand_brush", "power_wire_wheel"})

EDGE_NOT_DRESSED: Final = Rule(
    id="cleaning-edge-not-dressed",
    severity="warn",
    says="This edge was cut by heat, and {dressed_text} was filed or milled off it afterward. In "
    "{series}xxx alloys such a cut leaves fine cracks: take {wanted_text} or more off before you "
    "degrease.",
    source="prep-S14",
    fields=("base_metals",),
)
HYDRATED_OXIDE: Final = Rule(
    id="cleaning-hydrated-oxide",
    severity="warn",
    says="Metal that stood in the wet carries a thick, damp oxide that a brush hardly moves. "
    "Scrape, file or mill the joint to bright metal after degreasing, then brush.",
    source="prep-S36b",
    fields=("base_metals", "cleaning"),
)
_TABLE: Final = read_rules("cleaning_stock.tsv", inside="base_metals.")
RULES: Final = (EDGE_NOT_DRESSED, HYDRATED_OXIDE, *(each.rule for each in _TABLE))
_NOT_LOGGED: Final = NotAssessed("state of the metal before cleaning", ("base_metals",))


@lru_cache(maxsize=1024)
def series(designation: str | None) -> str | None:
    """Return the first digit of a wrought designation, or None where there is none.

    >>> series("EN AW-6082-T6"), series("A356.0"), series("unknown")
    ('6', None, None)
    """
    found = _WROUGHT.match(designation or "")
    return found[1] if found else None


def check_stock(facts: Facts, steps: Sequence[Done]) -> Iterator[Finding | NotAssessed]:
    """Judge the edges, the coating and the storage of each side of the joint.

    Parameters
    ----------
    facts : Facts
    steps : sequence of Done
        How it was cleaned: metal that stood in the wet wants more than a brush.
    """
    if not facts.base_metals:
        yield _NOT_LOGGED
        return
    said: set[object] = set()
    for side in facts.base_metals:
        for each in _side(side, steps):
            key = each if isinstance(each, NotAssessed) else each.rule.id
            if key not in said:
                said.add(key)
                yield each


def _side(side: BaseMetal, steps: Sequence[Done]) -> Iterator[Finding | NotAssessed]:
    yield from _bare(side.coating, side.edge, side.disc_condition)
    if side.edge in _THERMAL:
        yield from _melted_edge(side)
    if side.stored in _WET and _only_brushed(steps):
        yield HYDRATED_OXIDE.found(measured=side.stored)


@lru_cache(maxsize=REMEMBERED)
def _bare(
    coating: Coating | None, edge: Edge | None, disc: DiscCondition | None
) -> tuple[Finding | NotAssessed, ...]:
    """Judge a side by the table, and ask what its disc had cut before."""
    side = BaseMetal(coating=coating, edge=edge, disc_condition=disc)
    said = tuple(judge(_TABLE, side, inside="base_metals."))
    if edge == "abrasive_disc" and disc is None:
        return *said, NotAssessed("condition of the cutting disc", ("base_metals.disc_condition",))
    return said


def _only_brushed(steps: Sequence[Done]) -> bool:
    """Return whether brushes alone took the oxide off."""
    tools = {each.tool for each in steps if each.step == "remove_oxide"}
    return bool(tools) and tools <= _BRUSHES


def _melted_edge(side: BaseMetal) -> Iterator[Finding | NotAssessed]:
    """Judge an edge that was cut by heat; one that was dressed enough is right in any alloy."""
    dressed, alloy_series = side.edge_dressed_mm, series(side.alloy)
    if dressed is not None and dressed >= DRESSED_MM:
        return
    unknown = alloy_series is None and (side.alloy is None or find(side.alloy) is None)
    missing = [
        name for name, lacks in (("alloy", unknown), ("edge_dressed_mm", dressed is None)) if lacks
    ]
    if missing and (unknown or alloy_series in _CRACKS_WHEN_CUT):
        fields = tuple(f"base_metals.{name}" for name in missing)
        yield NotAssessed("dressing of an edge cut by heat", fields)
    elif dressed is not None and alloy_series in _CRACKS_WHEN_CUT:
        yield EDGE_NOT_DRESSED.found(
            measured=dressed,
            limit=DRESSED_MM,
            dressed=dressed,
            wanted=DRESSED_MM,
            dressed_text=f"only {in_units(dressed, 'mm', unlike=DRESSED_MM)}"
            if dressed
            else "nothing",
            wanted_text=in_units(DRESSED_MM, "mm"),
            series=alloy_series,
        )
