"""How much base metal a butt weld took up by what was logged of it: its filler, or its gap.

Both look at one cross-section: the fused zone is base metal, save what was open before.
"""

from typing import Final

from weldlog.engine.dilution import V_GROOVE, BaseShare

#: How much of the rectangle of cap width and thickness melts in a butt weld that is welded
#: through: a wedge, something between, all of it. Common practice, no source.
_WEDGE, _USUAL, _ALL = 0.50, 0.75, 1.00
#: A weld with less filler than this leaves in it is one without filler, or its rod was mistyped.
LARGEST_BALANCE_SHARE: Final = 0.95


def balance_share(
    weld_width_mm: float, thickness_mm: float, opening_mm2: float, filler_mm2: float
) -> BaseShare | None:
    """Return the base share of a butt weld by the filler that went into it, to 0.01.

    The fused zone lies between the triangle and the rectangle of cap width and thickness; what
    was open before is no base metal. None where the cap is narrower than the plate is thick, so
    that the weld can hardly go through it, where the filler would more than fill the rectangle,
    or where hardly any filler is left.

    Parameters
    ----------
    weld_width_mm, thickness_mm : float
        Width of the cap and thickness of the plate [mm].
    opening_mm2, filler_mm2 : float
        Cross-section of the groove and of the filler in it, the latter above zero [mm²].

    Source: the zone is common practice; the share is an identity.

    >>> share = balance_share(8, 3, 3.0, 8.5)
    >>> share.low, share.usual, share.high
    (0.51, 0.64, 0.71)
    """
    rectangle = weld_width_mm * thickness_mm
    if weld_width_mm < thickness_mm or filler_mm2 > rectangle:
        return None
    low, usual, high = (
        _melted_share(part * rectangle - opening_mm2, filler_mm2) for part in (_WEDGE, _USUAL, _ALL)
    )
    if not 0 < usual <= LARGEST_BALANCE_SHARE:
        return None
    return BaseShare(usual, low, high, "practice")


def _melted_share(melted_mm2: float, filler_mm2: float) -> float:
    base = max(0.0, melted_mm2)
    return round(base / (base + filler_mm2), 2)


#: Width of the cap of a usual square butt weld over the thickness of its plate [mm]. Common
#: practice, no source: 1/16 in sheet takes a cap of 5 to 6 mm, 1/8 in plate one of 7 to 8 mm.
USUAL_CAP_OVER_MM: Final = 4.0


def gap_share(
    closed: BaseShare, root_gap_mm: float, thickness_mm: float, weld_width_mm: float | None = None
) -> BaseShare:
    """Return the base share of a square butt weld that was opened by a root gap, to 0.01.

    The weld is taken to be as large as that of the closed joint, three quarters of the rectangle
    of cap width and thickness; what was open in it is filler and no base metal, so every share
    falls by the area of the gap over that of the weld. It does not fall below what the least
    of a V groove is, since the edges melt in any joint.

    Parameters
    ----------
    closed : BaseShare
        Of the same joint without a gap.
    root_gap_mm, thickness_mm : float
        Gap and thickness of the plate, both above zero [mm].
    weld_width_mm : float, optional
        Width of the cap [mm]; thickness and 4 mm more where it was not measured.

    Source: common practice; the fall of the share is an identity.

    >>> gap_share(BaseShare(0.90, 0.60, 1.00, "practice"), 1.6, 3.2).usual
    0.6
    """
    width = weld_width_mm or thickness_mm + USUAL_CAP_OVER_MM
    opened = root_gap_mm / (_USUAL * max(width, root_gap_mm, thickness_mm))

    def less(share: float) -> float:
        return max(V_GROOVE.low, round(share - opened, 2))

    before = None if closed.before_gtaw is None else less(closed.before_gtaw)
    return BaseShare(less(closed.usual), less(closed.low), less(closed.high), "practice", before)
