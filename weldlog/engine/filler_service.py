"""The filler against what the part is for: warm service, anodizing, heat treatment."""

from collections.abc import Iterator
from typing import Final

from weldlog.engine import filler_rules as rule
from weldlog.engine.alloys import WARM_SERVICE_MG, Alloy
from weldlog.engine.facts import Service
from weldlog.engine.filler_grades import anodised_match, heat_treatment
from weldlog.engine.filler_metals import FillerMetal
from weldlog.engine.findings import Finding, NotAssessed
from weldlog.engine.written import in_units

type Sides = tuple[Alloy, Alloy]

#: 4043 answers to heat treatment up to about this thickness [mm]; source alloy-S21e.
HEAT_TREATED_MM: Final = 10.0


def check(
    metal: FillerMetal, sides: Sides, service: Service, thickness_mm: float | None
) -> Iterator[Finding | NotAssessed]:
    """Yield what the service of the part calls for, and what nobody was asked that matters.

    ``thickness_mm`` is that of the thicker side [mm].
    """
    concerns = {
        "above_65_c": tuple(_warm(metal)),
        "anodised_after": tuple(_anodised(metal, sides)),
        "heat_treated_after": tuple(_heat_treated(metal, sides, thickness_mm)),
    }
    for name, found in concerns.items():
        if getattr(service, name):
            yield from found
    matters = {name for name, found in concerns.items() if found}
    if any(side.nominal.mg > WARM_SERVICE_MG for side in sides):
        matters.add("above_65_c")
    missing = [name for name in concerns if name in matters and getattr(service, name) is None]
    if missing:
        yield NotAssessed(
            "metal and filler for the service of the part",
            tuple(f"service.{name}" for name in missing),
        )


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
    metal: FillerMetal, sides: Sides, thickness_mm: float | None
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
        yield from _thick(name, thickness_mm)


def _thick(name: str, thickness_mm: float | None) -> Iterator[Finding | NotAssessed]:
    if thickness_mm is None:
        yield NotAssessed(
            "answer of the weld to the heat treatment that follows",
            ("base_metals.thickness_mm",),
        )
    elif thickness_mm > HEAT_TREATED_MM:
        yield rule.HEAT_TREATED_THICK.found(
            measured=thickness_mm,
            limit=HEAT_TREATED_MM,
            filler=name,
            thickness=thickness_mm,
            thickness_text=in_units(thickness_mm, "mm", unlike=HEAT_TREATED_MM),
        )
