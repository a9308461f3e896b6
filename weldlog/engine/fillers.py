"""The filler of a coupon: what the weld metal becomes with it, and the rules that speak of it."""

from weldlog.engine.alloys import both_sides
from weldlog.engine.dilution import NO_FILLER_SHARE, crack_range, usual_share, weld_composition
from weldlog.engine.facts import NO_FILLER, Facts, Filler
from weldlog.engine.figures import WeldMetal
from weldlog.engine.filler_metals import find


def weld_metal(facts: Facts) -> WeldMetal | None:
    """Return the estimated weld metal of a coupon.

    None where the alloy of a side or the filler is not known, or where the joint does not say
    how much base metal melts. Percent by mass to 0.01, by the base share usual for the joint.
    """
    sides = both_sides(facts)
    metal = find(facts.filler.designation) if isinstance(facts.filler, Filler) else None
    share = NO_FILLER_SHARE if facts.filler is NO_FILLER else usual_share(facts)
    if sides is None or share is None or (metal is None and facts.filler is not NO_FILLER):
        return None
    nominal = (sides[0].nominal, sides[1].nominal, metal.nominal if metal else None)
    composition = weld_composition(*nominal, share.usual)
    rounded = composition.rounded()
    return WeldMetal(
        si=rounded.si,
        mg=rounded.mg,
        cu=rounded.cu,
        zn=rounded.zn,
        mn=rounded.mn,
        mg2si=round(composition.mg2si, 2),
        dilution=share.usual,
        hot_crack_range=crack_range(*nominal, share),
    )
