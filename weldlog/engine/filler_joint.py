"""One joint with one filler in it: what the rules say of that pairing by itself.

Nothing here names another filler: ``filler_advice`` does, by asking this module about the others.
The same rules judge a logged coupon and the fillers that the guide offers.
"""

from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import Final

from weldlog.engine import filler_rules as rule
from weldlog.engine import filler_service
from weldlog.engine.filler_grades import BRITTLE_MG, CASTING_SI, SILICON_FILLER_MG
from weldlog.engine.filler_mixture import EDGE_MG, lean, of_mixture
from weldlog.engine.findings import Finding, NotAssessed
from weldlog.engine.weld_joint import FilledJoint, named

COPPER_ALLOY_CU: Final = 3.0
_SAY_THINNED: Final = frozenset(
    each.id for each in (rule.WELD_MAGNESIUM_LOW, rule.MAGNESIUM_ON_PURE, rule.GTAW_SHARE)
)


@lru_cache(maxsize=8192)  # a class welds the same few joints over and over
def judged(filled: FilledJoint) -> tuple[Finding | NotAssessed, ...]:
    """Return what the rules say, in their order, with a place left for the names of others."""
    return tuple(_judge(filled))


def _judge(filled: FilledJoint) -> Iterator[Finding | NotAssessed]:
    """Yield the rules in order; a pair is only spoken of where nothing plainer was said."""
    joint = filled.joint
    chemistry = [found for each in _ON_SIDES for found in each(filled)]
    if filled.advised_against and not any(map(_loud, chemistry)):
        chemistry += _advised_against(filled)
    service = _service(filled)
    unfit = any(isinstance(each, Finding) and each.severity == "stop" for each in service)
    stopped = any(found.severity == "stop" for found in chemistry)
    mixture = None if stopped else of_mixture(filled)
    # Where the filler itself is in doubt, a hint to add more of it would contradict that.
    quiet = ("advise", "warn") if unfit else ("advise",) if chemistry else ()
    if mixture and mixture.severity not in quiet:
        chemistry.append(mixture)
    yield from chemistry
    if joint.both is None:
        yield NotAssessed("choice of filler for both sides", ("base_metals.alloy",))
        return
    yield from service
    if filled.mixture is None:
        yield NotAssessed("weld metal and its crack range", ("weld",))
    if filled.name == "5554" and _SAY_THINNED.isdisjoint(each.rule.id for each in chemistry):
        yield from _thinned(filled)


def _loud(found: Finding) -> bool:
    return found.severity != "advise"


def _advised_against(filled: FilledJoint) -> Iterator[Finding]:
    yield rule.PAIR_NEVER.found(
        measured=filled.name,
        filler=filled.name,
        alloys=named(filled.joint.sides),
        why=filled.metal.against,
    )


def _service(filled: FilledJoint) -> tuple[Finding | NotAssessed, ...]:
    joint = filled.joint
    if joint.both is None:
        return ()
    return tuple(filler_service.check(filled.metal, joint.both, joint.service, joint.thickness_mm))


def _silicon(filled: FilledJoint) -> Iterator[Finding]:
    side = max(filled.joint.sides, key=lambda each: each.nominal.mg)
    magnesium = side.nominal.mg
    if filled.metal.family != "4xxx" or magnesium < SILICON_FILLER_MG:
        return
    over = magnesium > BRITTLE_MG
    speaks = rule.SILICON_ON_MAGNESIUM if over else rule.SILICON_NEAR_MAGNESIUM_LIMIT
    yield speaks.found(
        measured=magnesium,
        limit=BRITTLE_MG if over else SILICON_FILLER_MG,
        filler=filled.name,
        alloy=side.designation,
        magnesium=magnesium,
    )


def _magnesium(filled: FilledJoint) -> Iterator[Finding]:
    if filled.metal.family != "5xxx":
        return
    side = max(filled.joint.sides, key=lambda each: each.nominal.cu)
    copper = side.nominal.cu
    # A casting holds silicon against its copper: for that one the next rule speaks.
    if copper >= COPPER_ALLOY_CU and side.form == "wrought":
        yield rule.MAGNESIUM_ON_COPPER.found(
            measured=copper,
            limit=COPPER_ALLOY_CU,
            filler=filled.name,
            alloy=side.designation,
            copper=copper,
        )
        return
    side = max(filled.joint.sides, key=lambda each: each.nominal.si)
    silicon = side.nominal.si
    if silicon > CASTING_SI:
        yield rule.MAGNESIUM_ON_SILICON.found(
            measured=silicon,
            limit=CASTING_SI,
            filler=filled.name,
            alloy=side.designation,
            silicon=silicon,
        )


def _pure(filled: FilledJoint) -> Iterator[Finding]:
    alloyed = [side.designation for side in filled.joint.sides if not lean(side)]
    if filled.metal.family == "1xxx" and alloyed:
        yield rule.PURE_ON_ALLOYED.found(measured=filled.name, filler=filled.name, alloy=alloyed[0])


def _zinc_magnesium(filled: FilledJoint) -> Iterator[Finding]:
    zinc = [side.designation for side in filled.joint.sides if side.zinc_magnesium]
    if filled.metal.family == "4xxx" and zinc:
        yield rule.ZINC_MAGNESIUM.found(measured=filled.name, filler=filled.name, alloy=zinc[0])


def _copper(filled: FilledJoint) -> Iterator[Finding]:
    copper = any(side.nominal.cu >= COPPER_ALLOY_CU for side in filled.joint.sides)
    if filled.metal.family == "2xxx" and not copper:
        yield rule.COPPER_ON_COPPER_FREE.found(measured=filled.name, filler=filled.name)


_ON_SIDES: Final[tuple[Callable[[FilledJoint], Iterator[Finding]], ...]] = (
    _silicon,
    _magnesium,
    _pure,
    _zinc_magnesium,
    _copper,
)


def _thinned(filled: FilledJoint) -> Iterator[Finding]:
    mixture = filled.mixture
    if mixture and mixture.mg < EDGE_MG:
        yield rule.THINNED_5554.found(
            measured=mixture.mg, limit=EDGE_MG, filler=filled.name, magnesium=mixture.mg
        )
