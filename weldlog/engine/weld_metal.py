"""The estimated weld metal of a coupon."""

from functools import lru_cache

from weldlog.engine.alloys import both_sides
from weldlog.engine.dilution import (
    NO_FILLER_SHARE,
    BaseShare,
    Composition,
    crack_range,
    usual_share,
    weld_composition,
)
from weldlog.engine.facts import NO_FILLER, Facts, Filler
from weldlog.engine.figures import DilutionFrom, WeldMetal
from weldlog.engine.filler_metals import find
from weldlog.engine.imperfection_list import names_of
from weldlog.engine.logged_share import balance_share, gap_share
from weldlog.engine.measured import thickness_mm
from weldlog.engine.metal import filler_area_mm2, groove_of, measured_area_mm2
from weldlog.engine.metal_balance import AREA_SOFT, GrooveShape


@lru_cache(maxsize=8192)  # a class welds the same few joints over and over
def estimate(
    side_a: Composition,
    side_b: Composition,
    filler: Composition | None,
    share: BaseShare,
    dilution_from: DilutionFrom = "joint",
) -> WeldMetal:
    """Return the weld metal of two bases and a filler at a base share.

    >>> from weldlog.engine.dilution import V_GROOVE
    >>> al_mg1_si, al_si5 = Composition(si=0.6, mg=1.0, cu=0.28), Composition(si=5.2)
    >>> estimate(al_mg1_si, al_mg1_si, al_si5, V_GROOVE).si
    3.36
    """
    mixture = weld_composition(side_a, side_b, filler, share.usual)
    rounded = mixture.rounded()
    return WeldMetal(
        si=rounded.si,
        mg=rounded.mg,
        cu=rounded.cu,
        zn=rounded.zn,
        mn=rounded.mn,
        mg2si=round(mixture.mg2si, 2),
        dilution=share.usual,
        dilution_low=share.low,
        dilution_high=share.high,
        dilution_from=dilution_from,
        hot_crack_range=crack_range(side_a, side_b, filler, share),
    )


def weld_metal(facts: Facts) -> WeldMetal | None:
    """Return the estimated weld metal of a coupon.

    Percent by mass to 0.01, by nominal compositions and the base share: of a groove by the filler
    that was logged, else by the root gap of a square butt, else the one that is usual for the
    joint. None where the alloy of a side or
    the filler is not known, or where the joint does not say how much base metal melts.
    """
    sides = both_sides(facts)
    if sides is None:
        return None
    side_a, side_b = sides[0].nominal, sides[1].nominal
    if facts.filler is NO_FILLER:
        return estimate(side_a, side_b, None, NO_FILLER_SHARE, "no_filler")
    metal = find(facts.filler.designation) if isinstance(facts.filler, Filler) else None
    share = usual_share(facts)
    if metal is None or share is None:
        return None
    share, origin = _share_of(facts, share)
    return estimate(side_a, side_b, metal.nominal, share, origin)


def _share_of(facts: Facts, usual: BaseShare) -> tuple[BaseShare, DilutionFrom]:
    """Return the base share that the log bears best, and what it follows from."""
    opened = _share_from_gap(facts, usual)
    logged = _share_from_balance(facts, opened or usual)
    if logged:
        return logged, "wire_balance"
    return (opened, "joint_gap") if opened else (usual, "joint")


def _share_from_gap(facts: Facts, usual: BaseShare) -> BaseShare | None:
    """Return the base share of a square butt that was opened, None for any other joint."""
    gap, thickness = facts.root_gap_mm, thickness_mm(facts)
    if facts.weld != "square_groove" or facts.joint not in (None, "butt"):
        return None
    if not gap or not thickness or gap < 0:
        return None
    return gap_share(usual, gap, thickness, facts.groove.weld_width_mm if facts.groove else None)


def _share_from_balance(facts: Facts, usual: BaseShare) -> BaseShare | None:
    """Return the base share by the filler that was logged, None where it does not bear that.

    Only a groove tells: what lies above the plates of a fillet or a bead is filler by volume, so
    that its legs or its width say nothing of how deep the base melted. A range that does not meet
    the usual one of the joint says that something was logged wrong, not that the metal was odd.
    """
    width = facts.groove.weld_width_mm if facts.groove else None
    groove = groove_of(facts) if width and facts.joint in (None, "butt") else None
    filler_mm2 = filler_area_mm2(facts) if groove else None
    if not (width and groove and filler_mm2) or width < groove.width_mm:
        return None
    if not _fits(facts, groove, filler_mm2) or _not_welded_through(facts):
        return None
    share = balance_share(width, groove.thickness_mm, groove.area_mm2, filler_mm2)
    if share is None or share.low > usual.high or usual.low > share.high:
        return None
    return share


def _fits(facts: Facts, groove: GrooveShape, filler_mm2: float) -> bool:
    """Return whether the filler is about what the groove, and its cap where logged, hold."""
    low, high = AREA_SOFT
    excess = facts.groove.excess_weld_metal_mm if facts.groove else None
    if excess is None:
        return filler_mm2 >= low * groove.area_mm2
    held = measured_area_mm2(facts)
    return held is not None and low <= filler_mm2 / held <= high


def _not_welded_through(facts: Facts) -> bool:
    seen = facts.imperfections or ()
    return any("root_penetration" in names_of(each.number) for each in seen)
