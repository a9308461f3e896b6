"""One joint, bare or with a filler in it, as the filler rules look at it."""

from dataclasses import dataclass

from weldlog.engine.alloys import Alloy, known_sides
from weldlog.engine.dilution import BaseShare, usual_share
from weldlog.engine.facts import Facts, Service, Weld
from weldlog.engine.figures import WeldMetal
from weldlog.engine.filler_metals import FILLERS, FillerMetal
from weldlog.engine.filler_pairs import pair_of, refused
from weldlog.engine.weld_metal import estimate

_NOT_ASKED = Service()


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

    @property
    def advised_against(self) -> bool:
        """Whether the charts name it as one not to use on this pair."""
        both = self.joint.both
        return both is not None and not refused(both) and self.name in pair_of(*both).never

    @property
    def charted(self) -> bool:
        """Whether the charts name it for this pair, by its own name or as another filler."""
        both = self.joint.both
        if both is None or self.advised_against:
            return False
        return pair_of(*both).place(FILLERS[self.metal.charted_as]) is not None


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
    if usual is None or mixture is None or mixture.dilution_from in ("joint", "no_filler"):
        return usual
    before = None
    if mixture.dilution_from == "joint_gap" and usual.before_gtaw is not None:
        addition = usual.usual - usual.before_gtaw
        before = max(mixture.dilution_low, round(mixture.dilution - addition, 2))
    return BaseShare(
        mixture.dilution, mixture.dilution_low, mixture.dilution_high, usual.source, before
    )


def named(sides: tuple[Alloy, ...]) -> str:
    """Return the designations of the sides, each once."""
    return " and ".join(dict.fromkeys(side.designation for side in sides))
