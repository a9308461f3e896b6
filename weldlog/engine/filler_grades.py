"""Plain grades of a filler on a pair of base metals, each by one rule of our own.

No published chart is copied: the crack grade is the crack verdict at 30 and 60 % base metal, the
strength grade is shear strength against the weaker base, the others go by the families of filler
and bases.
"""

from functools import cache
from typing import Final

from weldlog.engine.alloys import WARM_SERVICE_MG, Alloy
from weldlog.engine.dilution import crack_line, weld_composition
from weldlog.engine.filler_metals import FillerMetal, Grade, shear_across_mpa

type Sides = tuple[Alloy, Alloy]

#: Shear across the fillet over the least tensile strength of the weaker base as welded.
#: Common practice, no source: set so that 5356 is good on 5086 and fair on 5083.
STRENGTH_GOOD: Final = 0.68
STRENGTH_FAIR: Final = 0.50

#: A base with more silicon is a silicon casting [percent].
CASTING_SI: Final = 2.0
#: From this much magnesium on, silicon filler costs ductility; above the next it is brittle.
SILICON_FILLER_MG: Final = 2.0
BRITTLE_MG: Final = 2.5


def _silicon_casting(side: Alloy) -> bool:
    return side.nominal.si > CASTING_SI


@cache
def crack_resistance(sides: Sides, metal: FillerMetal) -> Grade:
    """Good: clear at 30 and 60 % base metal; fair: on the edge at worst with plenty of filler."""
    plenty, little = (
        crack_line(
            weld_composition(sides[0].nominal, sides[1].nominal, metal.nominal, share)
        ).verdict
        for share in (0.30, 0.60)
    )
    if (plenty, little) == ("outside", "outside"):
        return "good"
    if plenty == "inside" or (plenty, little) == ("near", "inside"):
        return "poor"
    return "fair"


def _welded_strength_mpa(side: Alloy) -> float | None:
    return side.welded_uts_mpa or side.haz_uts_mpa


def strength(sides: Sides, metal: FillerMetal) -> Grade:
    """Grade the shear strength of a fillet against the weaker base as welded."""
    if metal.family == "2xxx" and all(side.series == "2xxx" for side in sides):
        return "good"  # alloy-S2: 2219 with 2319 reaches 241 MPa, the least its joint must hold
    shear = shear_across_mpa(metal)
    welded = [strength for side in sides if (strength := _welded_strength_mpa(side))]
    if shear is None or not welded:
        return "unknown"
    ratio = shear / min(welded)
    return "good" if ratio >= STRENGTH_GOOD else "fair" if ratio >= STRENGTH_FAIR else "poor"


def ductility(sides: Sides, metal: FillerMetal) -> Grade:
    """Poor, or not to be used, where brittle Mg2Si is expected."""
    magnesium = max(side.nominal.mg for side in sides)
    if metal.family == "4xxx":
        if magnesium > BRITTLE_MG:
            return "do_not_use"
        high_silicon = metal.nominal.si > 8.0
        return "poor" if high_silicon or magnesium >= SILICON_FILLER_MG else "fair"
    if metal.family == "5xxx":
        return "poor" if any(map(_silicon_casting, sides)) else "good"
    return "good" if metal.family == "1xxx" else "fair"


def corrosion(sides: Sides, metal: FillerMetal) -> Grade:
    """Good in salt water where the filler is close to the bases in family."""
    if metal.family == "1xxx":
        return "good"
    if metal.family == "2xxx" or metal.nominal.cu >= 1.0:
        return "fair"
    if metal.family == "4xxx":
        akin = any(side.series == "6xxx" or _silicon_casting(side) for side in sides)
        return "good" if akin and all(side.series != "5xxx" for side in sides) else "fair"
    distant = any(
        side.series in ("1xxx", "2xxx", "6xxx", "7xxx") or side.nominal.mg < 0.5
        for side in sides
        if not _silicon_casting(side)
    )
    return "fair" if distant else "good"


def hot_service(sides: Sides, metal: FillerMetal) -> Grade:
    """Not to be used above 65 degrees C where filler or base holds more than 3 % magnesium."""
    contents = (metal.nominal.mg, *(side.nominal.mg for side in sides))
    return "do_not_use" if max(contents) > WARM_SERVICE_MG else "good"


def anodised_match(sides: Sides, metal: FillerMetal) -> Grade:
    """How close the color of the weld stays to that of the bases after anodizing."""
    casting = any(map(_silicon_casting, sides))
    if metal.family == "4xxx":
        return "fair" if casting else "do_not_use" if metal.nominal.si > 8.0 else "poor"
    if metal.family == "5xxx":
        if casting:
            return "poor"
        close = all(side.series in ("5xxx", "5xx.0", "6xxx", "7xxx") for side in sides)
        return "good" if close else "fair"
    if metal.family == "2xxx":
        return "good" if any(side.series == "2xxx" for side in sides) else "poor"
    pure = all(side.series == "1xxx" or side.designation == "3003" for side in sides)
    return "good" if pure else "poor"


def heat_treatment(sides: Sides, metal: FillerMetal) -> Grade:
    """How the weld answers to a full solution treatment, where both bases are heat-treatable."""
    if not all(side.heat_treatable for side in sides):
        return "not_applicable"
    return metal.heat_treated_after


def grades(sides: Sides, metal: FillerMetal) -> dict[str, Grade]:
    """Return the grade of each property in the order of ``tests/contract/filler.schema.json``."""
    return {
        "crack_resistance": crack_resistance(sides, metal),
        "strength": strength(sides, metal),
        "ductility": ductility(sides, metal),
        "corrosion": corrosion(sides, metal),
        "hot_service": hot_service(sides, metal),
        "anodised_match": anodised_match(sides, metal),
        "heat_treatment": heat_treatment(sides, metal),
    }
