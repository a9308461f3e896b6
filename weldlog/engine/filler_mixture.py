"""What the estimated weld metal of a joint and its filler says, and how loudly.

How loudly an estimate speaks follows what it rests on. The base shares of the joints are read in
a source; the 0.10 more for GTAW is common practice alone. A weld that draws no warning at the
share as read draws advice at most with the addition, and that only where the addition brings it
into the range that cracks, so that feeding more filler helps. No stop rests on the addition. The
figures, and so the verdict they carry, keep the addition.
"""

from dataclasses import replace
from functools import lru_cache
from typing import Final

from weldlog.engine import filler_rules as rule
from weldlog.engine.alloys import Alloy
from weldlog.engine.dilution import (
    BaseShare,
    Composition,
    crack_line,
    largest_clear_share,
    weld_composition,
)
from weldlog.engine.figures import HotCrackRange, WeldMetal
from weldlog.engine.filler_pairs import refused
from weldlog.engine.findings import SEVERITIES, Finding
from weldlog.engine.weld_joint import FilledJoint
from weldlog.engine.written import joined

#: A weld of a lean Al-Mg base is clear of cracking from this on [percent].
CLEAR_SI: Final = 2.0
CLEAR_MG: Final = 3.0
#: Between this and ``CLEAR_MG`` it is on the edge [percent].
EDGE_MG: Final = 2.6

_IS: Final[dict[HotCrackRange, str]] = {
    "outside": "clear of the range that cracks while it freezes",
    "near": "close to the range that cracks while it freezes",
    "inside": "in the range that cracks while it freezes",
}
_BECOMES: Final[dict[HotCrackRange, str]] = {
    "outside": "stays clear",
    "near": "comes close to it",
    "inside": "gets into it",
}
ADD_MORE: Final = "Add more filler, or open the joint so that less base metal melts. "
OPEN: Final = "Open the joint so that less base metal melts. "


def lean(side: Alloy) -> bool:
    """Whether a base holds next to nothing that a filler could rest on: 1xxx and 3003."""
    return side.series == "1xxx" or side.designation == "3003"


def of_mixture(filled: FilledJoint) -> Finding | None:
    """Return the one rule that fits the estimated weld metal best, no louder than its footing."""
    both = filled.joint.both
    if both is None or filled.mixture is None or refused(both):
        return None
    found = _speaks(filled, filled.mixture)
    return _on_its_footing(filled, filled.mixture, found) if found else None


def _on_its_footing(filled: FilledJoint, mixture: WeldMetal, found: Finding) -> Finding | None:
    share = filled.joint.share
    if found.severity == "advise" or share is None or share.before_gtaw is None:
        return found
    as_read = replace(share, usual=share.before_gtaw)
    read_mixture = filled.joint.mixture(filled.metal, as_read)
    milder = _speaks(filled, read_mixture) if read_mixture else None
    if milder and milder.severity != "advise":
        return replace(found, severity=max(found.severity, milder.severity, key=SEVERITIES.index))
    if mixture.hot_crack_range != "inside":
        return None
    return rule.GTAW_SHARE.found(
        measured=share.usual,
        limit=share.before_gtaw,
        base_percent=100 * share.usual,
        usual_percent=100 * share.before_gtaw,
        verdict=_IS[_verdict(filled, share.before_gtaw)],
    )


def _verdict(filled: FilledJoint, base_share: float) -> HotCrackRange:
    both = filled.joint.both
    if both is None:
        return "outside"
    weld = weld_composition(both[0].nominal, both[1].nominal, filled.metal.nominal, base_share)
    return crack_line(weld).verdict


def _speaks(filled: FilledJoint, mixture: WeldMetal) -> Finding | None:
    sides = filled.joint.sides
    short = mixture.si < CLEAR_SI and mixture.mg < CLEAR_MG
    low = [side for side in sides if side.cracks_for_want_of_magnesium]
    pure = [side for side in sides if lean(side)]
    if short and low:
        return _weld_magnesium_low(filled, mixture, low[0])
    if short and pure and filled.metal.family == "5xxx":
        return rule.MAGNESIUM_ON_PURE.found(
            measured=mixture.mg,
            limit=CLEAR_MG,
            filler=filled.name,
            alloy=pure[0].designation,
            magnesium=mixture.mg,
            cure=_cure(filled, "warn"),
        )
    return _crack_range(filled, mixture) if mixture.hot_crack_range != "outside" else None


def _cure(filled: FilledJoint, severity: str) -> str:
    """Say how to thin the base less; a filler that the charts do not name is not asked for."""
    if not filled.charted:
        return ""
    return OPEN if severity == "stop" else ADD_MORE


def _weld_magnesium_low(filled: FilledJoint, mixture: WeldMetal, side: Alloy) -> Finding:
    # 5554 is the right wire for warm service on 5052, so a thinned one is never a stop.
    matched = filled.name == "5554" and any(
        each.designation == "5052" for each in filled.joint.sides
    )
    edge = matched or mixture.mg >= EDGE_MG
    severity = "warn" if edge else "stop"
    return rule.WELD_MAGNESIUM_LOW.found(
        severity="warn" if edge else "stop",
        measured=mixture.mg,
        limit=CLEAR_MG if edge else EDGE_MG,
        alloy=side.designation,
        magnesium=mixture.mg,
        silicon=mixture.si,
        cure=_cure(filled, severity),
    )


def _crack_range(filled: FilledJoint, mixture: WeldMetal) -> Finding | None:
    if filled.joint.both is None:
        return None
    side_a, side_b = (each.nominal for each in filled.joint.both)
    metal = filled.metal.nominal
    limit = largest_clear_share(side_a, side_b, metal)
    base_percent = 100 * mixture.dilution
    if mixture.hot_crack_range == "inside":
        return rule.CRACK_RANGE.found(
            measured=mixture.dilution,
            limit=limit,
            base_percent=base_percent,
            cure=_cure(filled, "warn"),
        )
    share = BaseShare(mixture.dilution, mixture.dilution_low, mixture.dilution_high, "practice")
    mix = crack_words(side_a, side_b, metal, share)
    return rule.CRACK_RANGE_NEAR.found(
        measured=mixture.dilution, limit=limit, base_percent=base_percent, mix=mix
    )


@lru_cache(maxsize=8192)
def crack_words(
    side_a: Composition, side_b: Composition, filler: Composition, share: BaseShare
) -> str:
    """Say in one sentence how a weld stands to the range that cracks, at its shares of base metal.

    Both facts in one: what holds at the usual share, and where it changes. Empty where there is
    nothing to say: the weld is clear at its usual share, and no share is known to bring a change.
    """
    clear = largest_clear_share(side_a, side_b, filler)
    usual, low, high = (
        crack_line(weld_composition(side_a, side_b, filler, each)).verdict
        for each in (share.usual, share.low, share.high)
    )
    at = f"By estimate, at about {100 * share.usual:.0f} % base metal, the weld is {_IS[usual]}"
    if usual != "outside":
        stays = f"; it stays clear only up to {100 * clear:.0f} %" if clear else ""
        return joined(f"{at}{stays}.")
    if high != "outside":
        past = f"past {100 * clear:.0f} % and " if clear and clear >= share.usual else ""
        more = f"where more of the base melts, {past}up to {100 * share.high:.0f} %"
        return joined(f"{at}; {more}, it {_BECOMES[high]}.")
    if low != "outside":
        less = f"where less of the base melts, down to {100 * share.low:.0f} %"
        return joined(f"{at}; {less}, it {_BECOMES[low]}.")
    if clear == 1.0:
        return "The weld stays clear of the crack range whatever the share of base metal."
    if clear and clear >= share.high:
        return joined(
            f"The weld stays clear of the crack range up to {100 * clear:.0f} % base metal."
        )
    return ""
