"""How much base metal a weld takes up, what it is then made of, and whether that may crack.

Estimates for a classroom: nominal compositions, no loss of magnesium in the arc, and base shares
that are typical of a joint, not measured in it. The verdict speaks of chemistry only; restraint,
bead shape and crater filling matter as well.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Final

from weldlog.engine.facts import Facts
from weldlog.engine.figures import HotCrackRange


@dataclass(frozen=True, slots=True, kw_only=True)
class Composition:
    """Alloying elements [percent by mass]; the rest is aluminium."""

    si: float = 0.0
    mg: float = 0.0
    cu: float = 0.0
    zn: float = 0.0
    mn: float = 0.0

    @property
    def mg2si(self) -> float:
        """Mg2Si that the magnesium and silicon can form [percent by mass].

        >>> round(Composition(si=0.6, mg=1.0).mg2si, 2)
        1.58
        """
        return min(self.mg / 0.634, self.si / 0.366)

    def rounded(self) -> "Composition":
        """Return the composition to 0.01 %, as the crack limits are stated."""
        return Composition(
            si=round(self.si, 2),
            mg=round(self.mg, 2),
            cu=round(self.cu, 2),
            zn=round(self.zn, 2),
            mn=round(self.mn, 2),
        )


def mix(parts: tuple[tuple[float, Composition], ...]) -> Composition:
    """Return the composition of a weld from its parts.

    Parameters
    ----------
    parts : tuple of (share, Composition)
        Shares are 0 to 1 and add up to 1. Source: alloy-S42.

    >>> al_mg5, alloy_5052 = Composition(mg=5.0), Composition(mg=2.5)
    >>> mix(((0.6, alloy_5052), (0.4, al_mg5))).mg
    3.5
    """
    si = mg = cu = zn = mn = 0.0
    for share, part in parts:
        si += share * part.si
        mg += share * part.mg
        cu += share * part.cu
        zn += share * part.zn
        mn += share * part.mn
    return Composition(si=si, mg=mg, cu=cu, zn=zn, mn=mn)


def weld_composition(
    side_a: Composition, side_b: Composition, filler: Composition | None, base_share: float
) -> Composition:
    """Return the weld metal of a joint that melts both sides alike.

    Parameters
    ----------
    side_a, side_b : Composition
        The two base metals; the same one twice where both sides are alike.
    filler : Composition or None
        None for a weld without filler, which is all base metal.
    base_share : float
        Share of base metal in the weld (dilution), 0 to 1.
    """
    if filler is None:
        return mix(((0.5, side_a), (0.5, side_b)))
    half = base_share / 2
    return mix(((half, side_a), (half, side_b), (1 - base_share, filler)))


@dataclass(frozen=True, slots=True)
class BaseShare:
    """Share of base metal in a weld, 0 to 1: what is usual, and from where to where it goes.

    ``before_gtaw`` is the usual share without the addition for GTAW, where that was made.
    """

    usual: float
    low: float
    high: float
    source: str
    before_gtaw: float | None = None

    def for_gtaw(self) -> "BaseShare":
        """GTAW melts more of the base than GMAW in the same joint: 0.10 more, 0 to 0.20.

        The shares of the joints are read in a source; this addition is common practice alone.
        """
        return BaseShare(
            min(1.0, round(self.usual + 0.10, 2)),
            self.low,
            min(1.0, round(self.high + 0.20, 2)),
            "practice",
            self.usual,
        )


FILLET: Final = BaseShare(0.20, 0.15, 0.40, "alloy-S3")
SQUARE_GROOVE: Final = BaseShare(0.80, 0.60, 0.90, "alloy-S3")
V_GROOVE: Final = BaseShare(0.40, 0.30, 0.60, "alloy-S3")
EDGE: Final = BaseShare(0.80, 0.60, 1.00, "practice")
BUILD_UP: Final = BaseShare(0.30, 0.20, 0.50, "practice")
NO_FILLER_SHARE: Final = BaseShare(1.00, 1.00, 1.00, "alloy-S42")

_BY_WELD: dict[str | None, BaseShare] = {
    "fillet": FILLET,
    "square_groove": SQUARE_GROOVE,
    "v_groove": V_GROOVE,
    "bead": BUILD_UP,
}
_BY_JOINT: dict[str | None, BaseShare] = {
    "lap": FILLET,
    "tee": FILLET,
    "corner": EDGE,
    "edge": EDGE,
    "bead_on_plate": BUILD_UP,
}


def usual_share(facts: Facts) -> BaseShare | None:
    """Return the base share that is usual for the joint of a coupon welded with filler.

    The usual values are for GMAW; GTAW adds 0.10. None where neither the weld nor the joint
    says how much base metal melts.
    """
    if facts.joint in ("edge", "corner") and facts.weld != "fillet":
        share: BaseShare | None = EDGE
    else:
        share = _BY_WELD.get(facts.weld) or _BY_JOINT.get(facts.joint)
    return share.for_gtaw() if share and facts.process == "GTAW" else share


@dataclass(frozen=True, slots=True)
class CrackLine:
    """One line of the crack verdict: the first one whose condition holds decides."""

    code: str
    holds: Callable[[Composition], bool]
    verdict: HotCrackRange
    source: str


CRACK_LINES: Final = (
    CrackLine("Z1", lambda c: c.zn >= 1.0 and c.cu >= 0.3, "inside", "alloy-S21b"),
    CrackLine("Z2", lambda c: c.zn >= 1.0 and c.mg >= 2.5, "outside", "alloy-S36"),
    CrackLine("Z3", lambda c: c.zn >= 1.0, "near", "alloy-S36"),
    CrackLine("K1", lambda c: c.cu >= 0.7 and c.si >= 3.0, "near", "practice"),
    CrackLine("K2", lambda c: c.cu >= 0.7 and c.si >= 2.0 and c.mg < 0.5, "near", "practice"),
    CrackLine("K3", lambda c: c.cu >= 0.7 and c.mg >= 0.3, "inside", "memory-crack-curves"),
    CrackLine("K4", lambda c: c.cu >= 5.5, "outside", "memory-crack-curves"),
    CrackLine("K5", lambda c: c.cu >= 4.5, "near", "memory-crack-curves"),
    CrackLine("K6", lambda c: c.cu >= 1.2, "inside", "memory-crack-curves"),
    CrackLine("K7", lambda c: c.cu >= 0.7, "near", "memory-crack-curves"),
    CrackLine("S1", lambda c: c.si >= 2.0, "outside", "memory-crack-curves"),
    CrackLine("M1", lambda c: c.mg >= 3.0, "outside", "alloy-S21a"),
    CrackLine("M2", lambda c: c.mg >= 2.6, "near", "practice"),
    CrackLine("S2", lambda c: c.si >= 1.6, "near", "alloy-S39"),
    CrackLine("L1", lambda c: c.si <= 0.25 and c.mg <= 0.3, "outside", "memory-crack-curves"),
    CrackLine("L2", lambda c: c.si <= 0.4 and c.mg <= 0.5 and c.mg2si < 0.4, "near", "alloy-S39"),
    CrackLine("X1", lambda _: True, "inside", "practice"),
)


def crack_line(weld: Composition) -> CrackLine:
    """Return the line of the crack verdict that a weld metal falls on.

    >>> crack_line(Composition(si=0.6, mg=1.0, cu=0.28)).code
    'X1'
    """
    rounded = weld.rounded()
    return next(line for line in CRACK_LINES if line.holds(rounded))


def crack_range(
    side_a: Composition, side_b: Composition, filler: Composition | None, share: BaseShare
) -> HotCrackRange:
    """Return the verdict at the usual share, "near" at least where the ends of the range differ."""
    usual, low, high = (
        crack_line(weld_composition(side_a, side_b, filler, each)).verdict
        for each in (share.usual, share.low, share.high)
    )
    if usual == "outside" and (low, high) != ("outside", "outside"):
        return "near"
    return usual


@cache
def largest_clear_share(
    side_a: Composition, side_b: Composition, filler: Composition
) -> float | None:
    """Return the largest base share up to which the weld stays clear of cracking [0.01 steps].

    None where even plenty of filler does not make it clear.

    >>> largest_clear_share(Composition(mg=2.5), Composition(mg=2.5), Composition(mg=5.0))
    0.8
    """
    largest = None
    base = mix(((0.5, side_a), (0.5, side_b)))
    for hundredths in range(1, 101):
        share = hundredths / 100
        if crack_line(mix(((share, base), (1 - share, filler)))).verdict != "outside":
            break
        largest = share
    return largest
