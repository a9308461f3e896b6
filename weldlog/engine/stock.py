"""The state of the metal before it is cleaned: edges, storage and coating (rows P02, P04, P05)."""

import re
from collections.abc import Iterator
from typing import Final

from weldlog.engine.facts import BaseMetal, Facts
from weldlog.engine.findings import Finding, NotAssessed, Rule
from weldlog.engine.rulebook import judge, read_rules
from weldlog.engine.written import in_units

DRESSED_MM: Final = 3.0
"""Depth taken off a thermally cut edge of 2xxx, 6xxx and 7xxx alloys [mm]; prep-S12, prep-S14."""

_THERMAL: Final = frozenset({"plasma", "laser", "oxy_fuel"})
_CRACKS_WHEN_CUT: Final = frozenset("267")
_WROUGHT: Final = re.compile(r"\D*([1-8])\d{3}(?!\d)")

EDGE_NOT_DRESSED: Final = Rule(
    id="cleaning-edge-not-dressed",
    severity="warn",
    says="Only {dressed_text} was dressed off the melted edge. In {series}xxx alloys a cut by heat "
    "leaves fine cracks; take {wanted_text} or more off before you degrease.",
    source="prep-S14",
    fields=("base_metals",),
)
HYDRATED_OXIDE: Final = Rule(
    id="cleaning-hydrated-oxide",
    severity="advise",
    says="Metal that stood in the wet carries a thick, damp oxide that a hand brush hardly moves. "
    "Scrape, file or mill the joint to bright metal after degreasing, then brush.",
    source="prep-S36b",
    fields=("base_metals", "cleaning"),
)
_TABLE: Final = read_rules("cleaning_stock.tsv", inside="base_metals.")
RULES: Final = (EDGE_NOT_DRESSED, HYDRATED_OXIDE, *(each.rule for each in _TABLE))


def series(designation: str | None) -> str | None:
    """Return the first digit of a wrought designation, or None where there is none.

    >>> series("EN AW-6082-T6"), series("A356.0"), series("unknown")
    ('6', None, None)
    """
    found = _WROUGHT.match(designation or "")
    return found[1] if found else None


def check_stock(facts: Facts) -> Iterator[Finding | NotAssessed]:
    """Judge the edges, the coating and the storage of each side of the joint."""
    if not facts.base_metals:
        yield NotAssessed("state of the metal before cleaning", ("base_metals",))
        return
    said: set[object] = set()
    for side in facts.base_metals:
        for each in _side(facts, side):
            key = each if isinstance(each, NotAssessed) else each.rule.id
            if key not in said:
                said.add(key)
                yield each


def _side(facts: Facts, side: BaseMetal) -> Iterator[Finding | NotAssessed]:
    yield from judge(_TABLE, side, inside="base_metals.")
    yield from _edge(side)
    by_hand = {each.tool for each in facts.cleaning or () if each.step == "remove_oxide"}
    if side.stored in ("outdoors", "immersed") and by_hand == {"stainless_hand_brush"}:
        yield HYDRATED_OXIDE.found(measured=side.stored)


def _edge(side: BaseMetal) -> Iterator[Finding | NotAssessed]:
    if side.edge not in _THERMAL:
        return
    alloy_series = series(side.alloy)
    missing = [
        name
        for name, value in (("alloy", side.alloy), ("edge_dressed_mm", side.edge_dressed_mm))
        if value is None
    ]
    if missing:
        fields = tuple(f"base_metals.{name}" for name in missing)
        yield NotAssessed("dressing of an edge cut by heat", fields)
    elif alloy_series in _CRACKS_WHEN_CUT and (side.edge_dressed_mm or 0) < DRESSED_MM:
        yield EDGE_NOT_DRESSED.found(
            measured=side.edge_dressed_mm,
            limit=DRESSED_MM,
            dressed=side.edge_dressed_mm,
            wanted=DRESSED_MM,
            dressed_text=in_units(side.edge_dressed_mm or 0, "mm", unlike=DRESSED_MM),
            wanted_text=in_units(DRESSED_MM, "mm"),
            series=alloy_series,
        )
