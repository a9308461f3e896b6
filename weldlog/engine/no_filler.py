"""Welding without filler, or with a strip of the base metal in its place."""

from collections.abc import Iterator
from typing import Final

from weldlog.engine import alloys
from weldlog.engine.alloys import Alloy, known_sides
from weldlog.engine.facts import Facts
from weldlog.engine.filler_advice import for_want_of, with_names
from weldlog.engine.filler_pairs import refused
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.stock import series
from weldlog.engine.unlisted import other_wire
from weldlog.engine.weld_joint import WeldJoint, joint_of

MISSING_6XXX: Final = Rule(
    id="filler-missing-6xxx",
    severity="stop",
    says=(
        "Welded without filler, {alloy} cracks along the weld, in tacks and craters too: its own "
        "magnesium and silicon make a mix that cracks while it freezes. {instead}{drill}"
    ),
    source="alloy-S21f",
    fields=("filler", "base_metals"),
)
MISSING_LOW_MAGNESIUM: Final = Rule(
    id="filler-missing-low-magnesium",
    severity="stop",
    says=(
        "{alloy} holds {magnesium:.1f} % magnesium, which cracks while it freezes when no filler "
        "is added. {instead}{drill}"
    ),
    source="alloy-S21a",
    fields=("filler", "base_metals"),
)
MISSING_CRACK_RANGE: Final = Rule(
    id="filler-missing-crack-range",
    severity="warn",
    says=(
        "Without filler the weld is all base metal, and by estimate that is in the range that "
        "cracks while it freezes. {instead}"
    ),
    source="memory-crack-curves",
    fields=("filler", "base_metals"),
)
MISSING_CRACK_RANGE_NEAR: Final = Rule(
    id="filler-missing-crack-range-near",
    severity="advise",
    says=(
        "Without filler the weld is all base metal, and by estimate that is on the edge of the "
        "range that cracks while it freezes. {instead}"
    ),
    source="memory-crack-curves",
    fields=("filler", "base_metals"),
)
BASE_METAL_AS_FILLER: Final = Rule(
    id="filler-base-metal",
    severity="stop",
    says=(
        "{filler} is a base metal and not a filler: a strip of it leaves the weld as prone to "
        "crack as no filler does. {instead}"
    ),
    source="prep-S3",
    fields=("filler.designation", "base_metals"),
)
NOT_ALUMINUM: Final = Rule(
    id="filler-not-aluminum",
    severity="stop",
    says=(
        "{filler} is a filler of {metal}, not of aluminum: the two form brittle compounds where "
        "they melt together, so it makes no weld here. {instead}"
    ),
    source="practice",
    fields=("filler.designation",),
)
RULES: Final = (
    NOT_ALUMINUM,
    MISSING_6XXX,
    MISSING_LOW_MAGNESIUM,
    MISSING_CRACK_RANGE,
    MISSING_CRACK_RANGE_NEAR,
    BASE_METAL_AS_FILLER,
)


#: What is added where no joint is made, only a puddle on a plate.
DRILL: Final = " A puddle drill on scrap is your instructor's call."


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Yield what welding these metals without filler calls for.

    Every 6xxx designation counts, also one that is not in the tables: the rule speaks of the
    whole series. Two metals that no filler joins get no advice to add one.
    """
    found = _crack_prone(case.facts)
    joint, mixture = joint_of(case.facts, None), case.figures.weld_metal
    if found:
        yield with_names(found, for_want_of(joint))
    elif joint.both is None or mixture is None:
        yield NotAssessed("welding this metal without filler", ("base_metals.alloy",))
    elif mixture.hot_crack_range != "outside" and not refused(joint.both):
        inside = mixture.hot_crack_range == "inside"
        speaks = MISSING_CRACK_RANGE if inside else MISSING_CRACK_RANGE_NEAR
        found = speaks.found(measured=mixture.hot_crack_range, limit="outside")
        yield with_names(found, for_want_of(joint))


def _crack_prone(facts: Facts) -> Finding | None:
    """Return the stop for metals that are known to crack without filler."""
    for typed in (side.alloy for side in facts.base_metals or ()):
        if series(typed) == "6":
            return MISSING_6XXX.found(measured="no filler", alloy=_name(typed), drill=_drill(facts))
    for side in known_sides(facts):
        if side.cracks_for_want_of_magnesium:
            return MISSING_LOW_MAGNESIUM.found(
                measured="no filler",
                alloy=side.designation,
                magnesium=side.nominal.mg,
                drill=_drill(facts),
            )
    return None


def _drill(facts: Facts) -> str:
    return DRILL if facts.joint == "bead_on_plate" else ""


def not_aluminum(designation: str, joint: WeldJoint) -> Finding | None:
    """Return the stop for a wire or rod of another metal, or None."""
    metal = other_wire(designation)
    if metal is None:
        return None
    found = NOT_ALUMINUM.found(measured=designation, filler=designation.strip(), metal=metal)
    return with_names(found, for_want_of(joint))


def _name(typed: str | None) -> str:
    known = alloys.find(typed) if typed else None
    return known.designation if known else (typed or "").strip()


def base_metal_as_filler(designation: str, joint: WeldJoint) -> Finding | None:
    """Return the stop for a filler that is a crack-prone base metal, or None.

    6xxx, 3004, 5005, 5050 and 5052 crack with a strip of themselves as they do without filler.
    """
    base = alloys.find(designation)
    if base is None or not _cracks_alone(base):
        return None
    found = BASE_METAL_AS_FILLER.found(measured=base.designation, filler=base.designation)
    return with_names(found, for_want_of(joint))


def _cracks_alone(base: Alloy) -> bool:
    return base.series == "6xxx" or base.cracks_for_want_of_magnesium
