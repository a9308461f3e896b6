"""The estimated weld metal of a coupon."""

from functools import cache

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
from weldlog.engine.figures import WeldMetal
from weldlog.engine.filler_metals import find


@cache
def estimate(
    side_a: Composition, side_b: Composition, filler: Composition | None, share: BaseShare
) -> WeldMetal:
    """Return the weld metal of two bases and a filler at the usual base share of a joint.

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
        hot_crack_range=crack_range(side_a, side_b, filler, share),
    )


def weld_metal(facts: Facts) -> WeldMetal | None:
    """Return the estimated weld metal of a coupon.

    Percent by mass to 0.01, by nominal compositions and the base share that is usual for the
    joint. None where the alloy of a side or the filler is not known, or where the joint does not
    say how much base metal melts.
    """
    sides = both_sides(facts)
    if sides is None:
        return None
    if facts.filler is NO_FILLER:
        return estimate(sides[0].nominal, sides[1].nominal, None, NO_FILLER_SHARE)
    metal = find(facts.filler.designation) if isinstance(facts.filler, Filler) else None
    share = usual_share(facts)
    if metal is None or share is None:
        return None
    return estimate(sides[0].nominal, sides[1].nominal, metal.nominal, share)
