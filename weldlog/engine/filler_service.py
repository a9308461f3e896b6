"""The filler against what the part is for: warm service, anodizing, heat treatment."""

from collections.abc import Iterator
from typing import Final

from weldlog.engine import filler_rules as rule
from weldlog.engine.alloys import WARM_SERVICE_MG, Alloy
from weldlog.engine.facts import Facts, Service
from weldlog.engine.filler_grades import anodised_match, heat_treatment
from weldlog.engine.filler_metals import FillerMetal
from weldlog.engine.findings import Finding, NotAssessed

type Sides = tuple[Alloy, Alloy]

#: 4043 answers to heat treatment up to about this thickness [mm]; source alloy-S21e.
HEAT_TREATED_MM: Final = 10.0

_NOT_ASKED: Final = Service()


def check(facts: Facts, metal: FillerMetal, sides: Sides) -> Iterator[Finding | NotAssessed]:
    """Yield what the service of the part calls for, and what nobody was asked that matters."""
    service = facts.service or _NOT_ASKED
    concerns = {
        "above_65_c": (service.above_65_c, tuple(_warm(metal))),
        "anodised_after": (service.anodised_after, tuple(_anodised(metal, sides))),
        "heat_treated_after": (
            service.heat_treated_after,
            tuple(_heat_treated(facts, metal, sides)),
        ),
    }
    for asked, found in concerns.values():
        if asked:
            yield from found
    missing = [name for name, (asked, found) in concerns.items() if asked is None and found]
    if service.above_65_c is None and _warm_base(sides) and "above_65_c" not in missing:
        missing.insert(0, "above_65_c")
    if missing:
        yield NotAssessed(
            "Whether metal and filler suit what the part is for.",
            tuple(f"service.{name}" for name in missing),
        )


def _warm_base(sides: Sides) -> bool:
    return any(side.nominal.mg > WARM_SERVICE_MG for side in sides)


def _warm(metal: FillerMetal) -> Iterator[Finding]:
    magnesium = metal.nominal.mg
    if magnesium > WARM_SERVICE_MG:
        yield rule.WARM_SERVICE.found(
            measured=magnesium,
            limit=WARM_SERVICE_MG,
            filler=metal.designation,
            magnesium=magnesium,
        )


def _anodised(metal: FillerMetal, sides: Sides) -> Iterator[Finding]:
    if metal.family == "4xxx" and anodised_match(sides, metal) in ("poor", "do_not_use"):
        yield rule.ANODISED_COLOR.found(
            measured=metal.anodised_color, filler=metal.designation, color=metal.anodised_color
        )


def _heat_treated(
    facts: Facts, metal: FillerMetal, sides: Sides
) -> Iterator[Finding | NotAssessed]:
    name, magnesium = metal.designation, metal.nominal.mg
    treatable = any(side.heat_treatable for side in sides)
    grade = heat_treatment(sides, metal)
    if treatable and magnesium > WARM_SERVICE_MG:
        yield rule.HEAT_TREATED_MAGNESIUM.found(
            measured=magnesium, limit=WARM_SERVICE_MG, filler=name, magnesium=magnesium
        )
    elif grade == "poor":
        yield rule.HEAT_TREATED_WEAK.found(measured=name, filler=name)
    elif grade == "fair":
        yield from _thick(facts, name)


def _thick(facts: Facts, name: str) -> Iterator[Finding | NotAssessed]:
    thicknesses = [side.thickness_mm for side in facts.sides or () if side.thickness_mm]
    if not thicknesses:
        yield NotAssessed(
            "Whether the weld answers to the heat treatment that follows.",
            ("base_metals.thickness_mm",),
        )
    elif max(thicknesses) > HEAT_TREATED_MM:
        yield rule.HEAT_TREATED_THICK.found(
            measured=max(thicknesses),
            limit=HEAT_TREATED_MM,
            filler=name,
            thickness=max(thicknesses),
        )
