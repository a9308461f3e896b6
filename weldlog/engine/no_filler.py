"""Welding without filler, or with a strip of the base metal in its place."""

from collections.abc import Iterator
from typing import Final

from weldlog.engine import alloys
from weldlog.engine.alloys import Alloy, known_sides
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.stock import series

MISSING_6XXX: Final = Rule(
    id="filler-missing-6xxx",
    severity="stop",
    says=(
        "{alloy} cracks along the weld when it is welded without filler, because its magnesium "
        "and silicon sit on the crack peak. Add filler to every run, tack and crater, "
        "such as 4043 or 5356."
    ),
    source="alloy-S21f",
    fields=("filler", "base_metals"),
)
MISSING_LOW_MAGNESIUM: Final = Rule(
    id="filler-missing-low-magnesium",
    severity="stop",
    says=(
        "{alloy} holds {magnesium:.1f} % magnesium, which cracks while it freezes when no filler "
        "is added. Use a filler that takes the weld past 3 % magnesium, such as 5356."
    ),
    source="alloy-S21a",
    fields=("filler", "base_metals"),
)
MISSING_CRACK_RANGE: Final = Rule(
    id="filler-missing-crack-range",
    severity="warn",
    says=(
        "Without filler the weld is all base metal, and by estimate that is in the range that "
        "cracks while it freezes. Add a filler made for this metal."
    ),
    source="memory-crack-curves",
    fields=("filler", "base_metals"),
)
MISSING_CRACK_RANGE_NEAR: Final = Rule(
    id="filler-missing-crack-range-near",
    severity="advise",
    says=(
        "Without filler the weld is all base metal, and by estimate that is on the edge of the "
        "range that cracks while it freezes. Some filler would take it clear."
    ),
    source="memory-crack-curves",
    fields=("filler", "base_metals"),
)
BASE_METAL_AS_FILLER: Final = Rule(
    id="filler-base-metal",
    severity="stop",
    says=(
        "{filler} is a base metal and not a filler: a strip of it leaves the weld as prone to "
        "crack as no filler does. Use a filler that the guide names, such as 4043 or 5356."
    ),
    source="prep-S3",
    fields=("filler.designation", "base_metals"),
)
RULES: Final = (
    MISSING_6XXX,
    MISSING_LOW_MAGNESIUM,
    MISSING_CRACK_RANGE,
    MISSING_CRACK_RANGE_NEAR,
    BASE_METAL_AS_FILLER,
)


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Yield what welding these metals without filler calls for.

    Every 6xxx designation counts, also one that is not in the tables: the rule speaks of the
    whole series. An alloy that is not for arc welding gets no advice to add filler.
    """
    for typed in (side.alloy for side in case.facts.base_metals or ()):
        if series(typed) == "6":
            yield MISSING_6XXX.found(measured="no filler", alloy=_name(typed))
            return
    sides = known_sides(case.facts)
    for side in sides:
        if side.cracks_for_want_of_magnesium:
            yield MISSING_LOW_MAGNESIUM.found(
                measured="no filler", alloy=side.designation, magnesium=side.nominal.mg
            )
            return
    if all(side.weldability != "not_recommended" for side in sides):
        yield from _crack_range(case)


def _crack_range(case: Case) -> Iterator[Finding | NotAssessed]:
    mixture = case.figures.weld_metal
    if mixture is None:
        yield NotAssessed("welding this metal without filler", ("base_metals.alloy",))
    elif mixture.hot_crack_range == "inside":
        yield MISSING_CRACK_RANGE.found(measured=mixture.hot_crack_range, limit="outside")
    elif mixture.hot_crack_range == "near":
        yield MISSING_CRACK_RANGE_NEAR.found(measured="near", limit="outside")


def _name(typed: str | None) -> str:
    known = alloys.find(typed) if typed else None
    return known.designation if known else (typed or "").strip()


def base_metal_as_filler(designation: str) -> Finding | None:
    """Return the stop for a filler that is a crack-prone base metal, or None.

    6xxx, 3004, 5005, 5050 and 5052 crack with a strip of themselves as they do without filler.
    """
    base = alloys.find(designation)
    if base is None or not _cracks_alone(base):
        return None
    return BASE_METAL_AS_FILLER.found(measured=base.designation, filler=base.designation)


def _cracks_alone(base: Alloy) -> bool:
    return base.series == "6xxx" or base.cracks_for_want_of_magnesium
