"""The filler of a coupon: the family of rules on the choice of filler and the lack of one."""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache, lru_cache
from typing import Final

from weldlog.engine import filler_rules as rule
from weldlog.engine import no_filler
from weldlog.engine.alloys import Alloy, known_sides
from weldlog.engine.facts import NO_FILLER, Facts, Filler, Joint, Process, Service, Weld
from weldlog.engine.figures import WeldMetal
from weldlog.engine.filler_advice import spoken
from weldlog.engine.filler_metals import FillerMetal, find, is_rod
from weldlog.engine.filler_pairs import pair_of, refused
from weldlog.engine.findings import Case, Finding, NotAssessed
from weldlog.engine.weld_joint import FilledJoint, joint_of, named, thicker_side_mm
from weldlog.engine.weld_metal import weld_metal
from weldlog.engine.written import in_units

__all__ = ["RULES", "check", "find", "weld_metal"]

RULES: Final = (*no_filler.RULES, *rule.RULES)
_NOT_LOGGED: Final = NotAssessed("choice of filler", ("filler",))
_NO_SIDE_KNOWN: Final = NotAssessed("choice of filler", ("base_metals.alloy",))
_NOT_IN_TABLES: Final = NotAssessed(
    "choice of filler: it is not in the tables, so read the spool or the certificate",
    ("filler.designation",),
)


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Yield what the filler, or its absence, calls for; that two metals do not go comes first."""
    facts = case.facts
    sides = known_sides(facts)
    if len(sides) == 2:
        yield from _pair(*sides)
    if isinstance(facts.filler, Filler):
        yield from _with_filler(case, facts.filler.designation, sides)
    elif facts.filler is NO_FILLER:
        yield from no_filler.check(case)
    else:
        yield _NOT_LOGGED
    convexity = facts.fillet.convexity_mm if facts.fillet else None
    if convexity is not None and convexity < 0:
        yield _concave(convexity)


def _concave(convexity_mm: float) -> Finding:
    return rule.CONCAVE_BEAD.found(
        measured=convexity_mm,
        limit=0.0,
        hollow=-convexity_mm,
        hollow_text=in_units(-convexity_mm, "mm"),
    )


@cache
def _pair(side_a: Alloy, side_b: Alloy) -> tuple[Finding, ...]:
    both = (side_a, side_b)
    closed = any(side.weldability == "not_recommended" for side in both)
    if closed or not refused(both):
        return ()
    alloys = named(both)
    why = pair_of(*both).why
    return (rule.PAIR_NOT_RECOMMENDED.found(measured=alloys, alloys=alloys, why=why),)


def _with_filler(
    case: Case, designation: str, sides: tuple[Alloy, ...]
) -> Iterator[Finding | NotAssessed]:
    facts, metal = case.facts, find(designation)
    if facts.process == "GMAW" and is_rod(designation):
        yield rule.ROD_AS_WIRE.found(measured=designation, filler=designation)
    if metal is None:
        joint = joint_of(facts, None)
        yield (
            no_filler.not_aluminum(designation, joint)
            or no_filler.base_metal_as_filler(designation, joint)
            or _NOT_IN_TABLES
        )
    elif not sides:
        yield _NO_SIDE_KNOWN
    else:
        yield from _said(
            metal,
            sides,
            case.figures.weld_metal,
            facts.process,
            facts.joint,
            facts.weld,
            facts.service,
            thicker_side_mm(facts),
        )


@lru_cache(maxsize=8192)  # a class welds the same few joints over and over
def _said(
    metal: FillerMetal,
    sides: tuple[Alloy, ...],
    mixture: WeldMetal | None,
    process: Process,
    joint: Joint | None,
    weld: Weld | None,
    service: Service | None,
    thickness_mm: float | None,
) -> tuple[Finding | NotAssessed, ...]:
    shape = Facts(process=process, joint=joint, weld=weld, service=service)
    of_shape = joint_of(shape, mixture)
    filled = replace(of_shape, sides=sides, thickness_mm=thickness_mm)
    return spoken(FilledJoint(joint=filled, metal=metal, mixture=mixture))
