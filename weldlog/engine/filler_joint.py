"""One joint with one filler in it: what the rules say of that pairing by itself.

Nothing here names another filler: ``filler_advice`` does, by asking this module about the others.
The same rules judge a logged coupon and the fillers that the guide offers.

How loudly an estimated weld metal speaks follows what the estimate rests on. The base shares of
the joints are read in a source; the 0.10 more for GTAW is common practice alone. A weld that is
clear at the share as read and not with the addition draws advice and no more, and no stop rests
on the addition. The figures, and so the verdict they carry, keep the addition.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from weldlog.engine import filler_rules as rule
from weldlog.engine import filler_service
from weldlog.engine.alloys import Alloy, known_sides
from weldlog.engine.dilution import BaseShare, largest_clear_share, usual_share
from weldlog.engine.facts import Facts, Service, Weld
from weldlog.engine.figures import WeldMetal
from weldlog.engine.filler_grades import BRITTLE_MG, CASTING_SI, SILICON_FILLER_MG
from weldlog.engine.filler_metals import FillerMetal
from weldlog.engine.filler_pairs import pair_of, refused
from weldlog.engine.findings import SEVERITIES, Finding, NotAssessed
from weldlog.engine.weld_metal import estimate

#: A weld of a lean Al-Mg base is clear of cracking from this on [percent].
CLEAR_SI: Final = 2.0
CLEAR_MG: Final = 3.0
#: Between this and ``CLEAR_MG`` it is on the edge [percent].
EDGE_MG: Final = 2.6
COPPER_ALLOY_CU: Final = 3.0
_NOT_ASKED: Final = Service()
_SAY_THINNED: Final = frozenset(
    each.id for each in (rule.WELD_MAGNESIUM_LOW, rule.MAGNESIUM_ON_PURE, rule.GTAW_SHARE)
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WeldJoint:
    """What the filler rules look at in a joint, whatever the filler.

    ``sides`` leaves out a side whose alloy is not known. ``share`` is None where the joint does
    not say how much base metal melts. ``thickness_mm`` is that of the thicker side [mm].
    """

    sides: tuple[Alloy, ...]
    share: BaseShare | None
    weld: Weld | None
    service: Service
    thickness_mm: float | None

    @property
    def both(self) -> tuple[Alloy, Alloy] | None:
        """Both sides, or None where one is not known."""
        return (self.sides[0], self.sides[1]) if len(self.sides) == 2 else None

    def filled_with(self, metal: FillerMetal) -> "FilledJoint":
        """Return this joint with a filler in it, at its own base share."""
        return FilledJoint(joint=self, metal=metal, mixture=self.mixture(metal, self.share))

    def mixture(self, metal: FillerMetal, share: BaseShare | None) -> WeldMetal | None:
        """Return the weld metal with a filler at a base share, None where it cannot be told."""
        if share is None or self.both is None:
            return None
        side_a, side_b = self.both
        return estimate(side_a.nominal, side_b.nominal, metal.nominal, share)


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledJoint:
    """A joint and its filler; ``mixture`` is the estimated weld metal."""

    joint: WeldJoint
    metal: FillerMetal
    mixture: WeldMetal | None

    @property
    def name(self) -> str:
        """Designation of the filler."""
        return self.metal.designation


def joint_of(facts: Facts, mixture: WeldMetal | None) -> WeldJoint:
    """Return the joint of a coupon; ``mixture`` is its estimated weld metal, if it has filler."""
    return WeldJoint(
        sides=known_sides(facts),
        share=_share(facts, mixture),
        weld=facts.weld,
        service=facts.service or _NOT_ASKED,
        thickness_mm=thicker_side_mm(facts),
    )


def thicker_side_mm(facts: Facts) -> float | None:
    """Return the thickness of the thicker side [mm], None where none was logged."""
    thicknesses = [side.thickness_mm for side in facts.base_metals or () if side.thickness_mm]
    return max(thicknesses, default=None)


def _share(facts: Facts, mixture: WeldMetal | None) -> BaseShare | None:
    """Return the share that is usual for the joint, or the one that the log itself tells."""
    usual = usual_share(facts)
    if usual is None or mixture is None or mixture.dilution == usual.usual:
        return usual
    told = mixture.dilution
    return BaseShare(told, told, told, usual.source)


@lru_cache(maxsize=8192)  # a class welds the same few joints over and over
def judged(filled: FilledJoint) -> tuple[Finding | NotAssessed, ...]:
    """Return what the rules say, in their order, with a place left for the names of others."""
    return tuple(_judge(filled))


def _judge(filled: FilledJoint) -> Iterator[Finding | NotAssessed]:
    """Yield the rules in order; a pair is only spoken of where nothing plainer was said."""
    joint = filled.joint
    chemistry = [found for each in _ON_SIDES for found in each(filled)]
    service = _service(filled)
    stopped = any(found.severity == "stop" for found in chemistry)
    in_doubt = bool(chemistry) or any(
        isinstance(each, Finding) and each.severity == "stop" for each in service
    )
    mixture = [] if stopped else list(_mixture(filled))
    # Where the filler itself is in doubt, a hint to add more of it would contradict that.
    chemistry += [each for each in mixture if not (in_doubt and each.severity == "advise")]
    yield from chemistry
    if joint.both is None:
        yield NotAssessed("choice of filler for both sides", ("base_metals.alloy",))
        return
    yield from service
    if filled.mixture is None:
        yield NotAssessed("weld metal and its crack range", ("weld",))
    if not any(found.severity in ("stop", "warn") for found in chemistry):
        yield from _advised_against(filled, joint.both)
    if filled.name == "5554" and _SAY_THINNED.isdisjoint(each.rule.id for each in chemistry):
        yield from _thinned(filled)


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
    side = max(filled.joint.sides, key=lambda each: each.nominal.si)
    silicon = side.nominal.si
    if filled.metal.family == "5xxx" and silicon > CASTING_SI:
        yield rule.MAGNESIUM_ON_SILICON.found(
            measured=silicon,
            limit=CASTING_SI,
            filler=filled.name,
            alloy=side.designation,
            silicon=silicon,
        )


def _lean(side: Alloy) -> bool:
    return side.series == "1xxx" or side.designation == "3003"


def _pure(filled: FilledJoint) -> Iterator[Finding]:
    alloyed = [side.designation for side in filled.joint.sides if not _lean(side)]
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


def _mixture(filled: FilledJoint) -> Iterator[Finding]:
    """Yield the one rule that fits the estimated weld metal best, no louder than its footing."""
    both = filled.joint.both
    if both is None or filled.mixture is None or refused(both):
        return
    found = _of_mixture(filled, filled.mixture)
    if found:
        yield _on_its_footing(filled, found)


def _on_its_footing(filled: FilledJoint, found: Finding) -> Finding:
    share = filled.joint.share
    if found.severity == "advise" or share is None or share.before_gtaw is None:
        return found
    as_read = replace(share, usual=share.before_gtaw)
    mixture = filled.joint.mixture(filled.metal, as_read)
    milder = _of_mixture(filled, mixture) if mixture else None
    if milder is None or milder.severity == "advise":
        return rule.GTAW_SHARE.found(
            measured=share.usual,
            limit=share.before_gtaw,
            base_percent=100 * share.usual,
            usual_percent=100 * share.before_gtaw,
        )
    return replace(found, severity=max(found.severity, milder.severity, key=SEVERITIES.index))


def _of_mixture(filled: FilledJoint, mixture: WeldMetal) -> Finding | None:
    sides = filled.joint.sides
    short = mixture.si < CLEAR_SI and mixture.mg < CLEAR_MG
    low = [side for side in sides if side.cracks_for_want_of_magnesium]
    lean = [side for side in sides if _lean(side)]
    if short and low:
        return _weld_magnesium_low(filled, mixture, low[0])
    if short and lean and filled.metal.family == "5xxx":
        return rule.MAGNESIUM_ON_PURE.found(
            measured=mixture.mg,
            limit=CLEAR_MG,
            filler=filled.name,
            alloy=lean[0].designation,
            magnesium=mixture.mg,
        )
    return _crack_range(filled, mixture) if mixture.hot_crack_range != "outside" else None


def _weld_magnesium_low(filled: FilledJoint, mixture: WeldMetal, side: Alloy) -> Finding:
    # 5554 is the right wire for warm service on 5052, so a thinned one is never a stop.
    matched = filled.name == "5554" and any(
        each.designation == "5052" for each in filled.joint.sides
    )
    edge = matched or mixture.mg >= EDGE_MG
    return rule.WELD_MAGNESIUM_LOW.found(
        severity="warn" if edge else "stop",
        measured=mixture.mg,
        limit=CLEAR_MG if edge else EDGE_MG,
        alloy=side.designation,
        magnesium=mixture.mg,
        silicon=mixture.si,
    )


def _crack_range(filled: FilledJoint, mixture: WeldMetal) -> Finding:
    inside = mixture.hot_crack_range == "inside"
    limit = None
    if filled.joint.both:
        side_a, side_b = filled.joint.both
        limit = largest_clear_share(side_a.nominal, side_b.nominal, filled.metal.nominal)
    speaks = rule.CRACK_RANGE if inside else rule.CRACK_RANGE_NEAR
    return speaks.found(measured=mixture.dilution, limit=limit, base_percent=100 * mixture.dilution)


def _advised_against(filled: FilledJoint, both: tuple[Alloy, Alloy]) -> Iterator[Finding]:
    if not refused(both) and filled.name in pair_of(*both).never:
        yield rule.PAIR_NEVER.found(
            measured=filled.name, filler=filled.name, alloys=named(both), why=filled.metal.against
        )


def _thinned(filled: FilledJoint) -> Iterator[Finding]:
    mixture = filled.mixture
    if mixture and mixture.mg < EDGE_MG:
        yield rule.THINNED_5554.found(
            measured=mixture.mg, limit=EDGE_MG, filler=filled.name, magnesium=mixture.mg
        )


def named(sides: tuple[Alloy, ...]) -> str:
    """Return the designations of the sides, each once."""
    return " and ".join(dict.fromkeys(side.designation for side in sides))
