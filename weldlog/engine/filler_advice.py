"""Which filler a sentence names in place of another: one that the same rules do not speak against.

A sentence that says what is wrong leaves a place for what would do. It is filled here, joint by
joint: a filler is named only where neither a stop nor a warning would be drawn by it, so that no
advice leads into the next flag. Where there is none, the sentence sends the student to ask.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from typing import Final

from weldlog.engine import filler_rules as rule
from weldlog.engine.alloys import WARM_SERVICE_MG
from weldlog.engine.filler_joint import judged
from weldlog.engine.filler_metals import FILLERS
from weldlog.engine.filler_pairs import pair_of, refused
from weldlog.engine.findings import Finding, NotAssessed, Rule
from weldlog.engine.weld_joint import FilledJoint, WeldJoint, named

ASK: Final = "Ask your instructor which filler suits this joint."
NONE_SUITS: Final = "No filler suits this joint."
CHARTED_ALL_THE_SAME: Final = "Even so, the charts name it for this joint."
_MOST_NAMED: Final = 2
_STRONGER_FILLET: Final = ("5356", "5183")
STRONG_ON_PLATE: Final = ("5183", "5556", "5087")
_PLATE: Final = frozenset({"5083", "5456"})


def spoken(filled: FilledJoint) -> tuple[Finding | NotAssessed, ...]:
    """Return what the rules say of a joint and its filler, with the fillers that would do."""
    said = tuple(
        with_names(each, instead(filled))
        if isinstance(each, Finding) and "{instead}" in each.rule.says
        else each
        for each in judged(filled)
    )
    return (*said, *_hints(filled))


def with_names(found: Finding, text: str) -> Finding:
    """Return a finding with the place for other fillers filled."""
    return replace(found, values={**found.values, "instead": text})


def instead(filled: FilledJoint) -> str:
    """Return the sentence that says which filler would do in place of this one."""
    return _in_place_of(filled.joint, filled.name, FILLERS[filled.name].charted_as)


def for_want_of(joint: WeldJoint) -> str:
    """Return the sentence that says which filler would do in a joint that was given none."""
    return _in_place_of(joint, "", "")


@lru_cache(maxsize=4096)
def _in_place_of(joint: WeldJoint, name: str, charted_as: str) -> str:
    if joint.both is None:
        return ASK
    if refused(joint.both) or _too_rich_for_warmth(joint):
        return NONE_SUITS
    names = [each for each in suited(joint) if each not in (name, charted_as)][:_MOST_NAMED]
    if names:
        return f"{' or '.join(names)} suits this joint."
    pair = pair_of(*joint.both)
    if pair.first_choice == name and _loudest(joint, name) == "warn":
        return CHARTED_ALL_THE_SAME
    careful = [
        each
        for each in (pair.first_choice, *pair.acceptable)
        if each not in (name, charted_as) and _loudest(joint, each) == "warn"
    ]
    names = careful[:_MOST_NAMED]
    return f"The charts name {' or '.join(names)}, with care." if names else ASK


@lru_cache(maxsize=4096)
def suited(joint: WeldJoint) -> tuple[str, ...]:
    """Return the fillers of the charts that draw neither a stop nor a warning, best first."""
    if joint.both is None or refused(joint.both) or _too_rich_for_warmth(joint):
        return ()
    pair = pair_of(*joint.both)
    return tuple(
        each for each in (pair.first_choice, *pair.acceptable) if not _loudest(joint, each)
    )


def _too_rich_for_warmth(joint: WeldJoint) -> bool:
    """Whether a base itself is not for long service above 65 degrees C, whatever the filler."""
    warm = joint.service.above_65_c
    return bool(warm) and any(side.nominal.mg > WARM_SERVICE_MG for side in joint.sides)


def _loudest(joint: WeldJoint, name: str) -> str | None:
    """Return how loudly the rules speak against a filler, None where they advise at most."""
    said = judged(joint.filled_with(FILLERS[name]))
    severities = {each.severity for each in said if isinstance(each, Finding)}
    return next((each for each in ("stop", "warn") if each in severities), None)


def _stronger(joint: WeldJoint, names: tuple[str, ...]) -> str:
    if _too_rich_for_warmth(joint):
        return ""
    return " or ".join([each for each in names if not _loudest(joint, each)][:_MOST_NAMED])


def _hints(filled: FilledJoint) -> Iterator[Finding]:
    """Yield what another filler would do better, where that one is not spoken against."""
    joint, both = filled.joint, filled.joint.both
    if both is None:
        return
    heat_treatable = all(side.series == "6xxx" for side in both)
    if filled.metal.charted_as == "4043" and joint.weld == "fillet" and heat_treatable:
        yield from _hint(rule.FILLET_SHEAR, filled, _STRONGER_FILLET)
    plate = all(side.designation in _PLATE for side in both)
    if plate and filled.metal.family == "5xxx" and filled.name not in STRONG_ON_PLATE:
        yield from _hint(rule.PLATE_STRENGTH, filled, STRONG_ON_PLATE)


def _hint(speaks: Rule, filled: FilledJoint, names: tuple[str, ...]) -> Iterator[Finding]:
    stronger = _stronger(filled.joint, names)
    if stronger:
        yield speaks.found(
            measured=filled.name,
            filler=filled.name,
            alloy=named(filled.joint.sides),
            stronger=stronger,
        )
