"""What a log tells of the sizes that limits ask for, in hundredths of a millimeter.

Whole hundredths compare exactly; halves go up, on both sides of a comparison, so that equal sizes
stay equal.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Final, NamedTuple

from weldlog.engine.facts import Facts
from weldlog.engine.imperfection_list import names_of
from weldlog.engine.inspected import Fillet, Imperfection
from weldlog.engine.limits import Reference
from weldlog.engine.possible import LARGEST

GROOVES: Final = ("square_groove", "v_groove")
GAUGE_MARGIN_MM: Final = 0.5
"""How far two readings of a fillet gauge may lie apart [mm]; common practice, no source."""


class Size(NamedTuple):
    """A size [0.01 mm]; ``at_least`` where the log leaves open that it is larger."""

    hundredths: int
    at_least: bool = False


def hundredths(value_mm: float) -> int:
    """Return a size as whole hundredths of a millimeter [0.01 mm].

    >>> hundredths(5 - 4.3), hundredths(0.285), hundredths(0.1 * 3)
    (70, 29, 30)
    """
    kept = max(-LARGEST, min(value_mm, LARGEST))
    # Six decimals are far below a hundredth and far above the noise of binary fractions.
    return math.floor(round(kept * 100, 6) + 0.5)


def throat_of(leg_mm: float) -> float:
    """Return the throat of a flat fillet with equal legs [mm], leg over the root of two.

    >>> round(throat_of(5), 2)
    3.54
    """
    return leg_mm / math.sqrt(2)


def thickness_mm(facts: Facts) -> float | None:
    """Return the thickness of the thinner side [mm]: nobody logs on which side a flaw lies."""
    sides = [side.thickness_mm for side in facts.base_metals or ()]
    known = [each for each in sides if each is not None]
    return min(known) if known and len(known) == len(sides) else None


def _legs(facts: Facts) -> list[float]:
    fillet = facts.fillet
    both = (fillet.leg_1_mm, fillet.leg_2_mm) if fillet else ()
    return [leg for leg in both if leg is not None]


def _leg_wanted(facts: Facts) -> float | None:
    return facts.fillet.nominal_leg_mm if facts.fillet else None


def _throat_wanted(facts: Facts) -> float | None:
    leg = _leg_wanted(facts)
    return None if leg is None else throat_of(leg)


def _is_fillet(facts: Facts) -> bool:
    return facts.weld == "fillet" or (facts.weld is None and facts.fillet is not None)


def _throat_or_thickness(facts: Facts) -> float | None:
    """Return a of a fillet, s of a butt weld: its plates are taken as welded through [mm]."""
    if _is_fillet(facts):
        return _throat_wanted(facts)
    return thickness_mm(facts) if facts.weld in GROOVES else None


def face_width_mm(facts: Facts) -> float | None:
    """Return the width of the weld face [mm]: the cap as measured, or from toe to toe."""
    if _is_fillet(facts):
        legs = _legs(facts)
        return math.hypot(*legs) if len(legs) == 2 else None
    return facts.groove.weld_width_mm if facts.groove else None


_REFERENCES: Final[Mapping[Reference, Callable[[Facts], float | None]]] = {
    "thickness": thickness_mm,
    "throat": _throat_wanted,
    "throat_or_thickness": _throat_or_thickness,
    "face_width": face_width_mm,
    "leg": _leg_wanted,
}


def reference_mm(facts: Facts, of: Reference) -> float | None:
    """Return the size that a limit goes with [mm], None where the log does not tell."""
    return _REFERENCES[of](facts)


def missing_for(facts: Facts, of: Reference) -> tuple[str, ...]:
    """Return the members for want of which a reference is not known."""
    if of in ("throat", "leg"):
        return ("fillet.nominal_leg_mm",)
    if of == "thickness":
        return ("base_metals.thickness_mm",)
    if of == "face_width":
        legs = ("fillet.leg_1_mm", "fillet.leg_2_mm")
        return legs if _is_fillet(facts) else ("groove.weld_width_mm",)
    if _is_fillet(facts):
        return ("fillet.nominal_leg_mm",)
    return ("base_metals.thickness_mm",) if facts.weld in GROOVES else ("weld",)


def undersize(facts: Facts) -> Size | None:
    """Return what a fillet lacks of the leg wanted, 0 where it is large enough.

    Its size is that of the largest equal-leg triangle in it: the shorter leg, or the throat times
    the root of two where that is smaller (AWS A3.0, from memory).
    """
    wanted = _leg_wanted(facts)
    sizes = _legs(facts)
    if facts.fillet and facts.fillet.throat_mm is not None:
        sizes.append(facts.fillet.throat_mm * math.sqrt(2))
    if wanted is None or not sizes:
        return None
    return Size(max(hundredths(wanted - min(sizes)), 0))


def _throat_lacking(facts: Facts) -> Size | None:
    """Return what the throat lacks; legs alone bound the throat from above."""
    fillet, wanted = facts.fillet, _throat_wanted(facts)
    if fillet is None or wanted is None:
        return None
    legs = _legs(facts)
    throats = [throat_of(min(legs))] if legs else []
    if fillet.throat_mm is not None:
        throats.append(fillet.throat_mm)
    if not throats:
        return None
    flat = len(legs) == 2 and fillet.convexity_mm is not None and fillet.convexity_mm >= 0
    lacking = max(hundredths(wanted - min(throats)), 0)
    return Size(lacking, at_least=fillet.throat_mm is None and not flat)


def throats_possible_mm(fillet: Fillet) -> tuple[float, float] | None:
    """Return the least and the largest throat of a fillet with its legs [mm], None without both.

    A flat face lies ``leg_1 x leg_2 / hypot(leg_1, leg_2)`` from the root, and no point of a
    convex one lies further out than its convexity. Where no convexity was logged the shorter leg
    is the largest throat: more would bulge past the toes. The margin of the gauge is common
    practice, no source.

    >>> [round(each, 2) for each in throats_possible_mm(Fillet(leg_1_mm=4, leg_2_mm=4)) or ()]
    [0.0, 4.5]
    """
    first, second, bulge = fillet.leg_1_mm, fillet.leg_2_mm, fillet.convexity_mm
    if not first or not second:
        return None
    flat = first * second / math.hypot(first, second)
    most = min(first, second) if bulge is None else flat + max(bulge, 0.0)
    least = flat if bulge is not None and bulge >= 0 else 0.0
    return max(least - GAUGE_MARGIN_MM, 0.0), most + GAUGE_MARGIN_MM


def _above_zero(value_mm: float | None) -> Size | None:
    return Size(hundredths(value_mm)) if value_mm is not None and value_mm > 0 else None


def _throat_excess(facts: Facts) -> Size | None:
    wanted = _throat_wanted(facts)
    if facts.fillet is None or facts.fillet.throat_mm is None or wanted is None:
        return None
    return _above_zero(facts.fillet.throat_mm - wanted)


def _asymmetry(facts: Facts) -> Size | None:
    legs = _legs(facts)
    return _above_zero(abs(legs[0] - legs[1])) if len(legs) == 2 else None


def _convexity(facts: Facts) -> Size | None:
    return _above_zero(facts.fillet.convexity_mm) if facts.fillet else None


def _excess(facts: Facts) -> Size | None:
    return _above_zero(facts.groove.excess_weld_metal_mm) if facts.groove else None


def _underfill(facts: Facts) -> Size | None:
    excess = facts.groove.excess_weld_metal_mm if facts.groove else None
    return None if excess is None else _above_zero(-excess)


def _fillet_gap(facts: Facts) -> Size | None:
    return _above_zero(facts.root_gap_mm) if facts.weld == "fillet" else None


# By ISO 6520-1 number, what was measured on the coupon beside any imperfection that was named.
MEASURED: Final[Mapping[str, Callable[[Facts], Size | None]]] = {
    "5213": _throat_lacking,
    "5214": _throat_excess,
    "503": _convexity,
    "512": _asymmetry,
    "502": _excess,
    "511": _underfill,
    "507": lambda facts: _above_zero(facts.mismatch_mm),
    "617": _fillet_gap,
}


def size_of(facts: Facts, seen: Imperfection, *, as_undersize: bool = False) -> Size | None:
    """Return the size of an imperfection: the larger of what was logged and what was measured."""
    measure = next((MEASURED[name] for name in names_of(seen.number) if name in MEASURED), None)
    if as_undersize:
        measure = undersize
    measured = measure(facts) if measure else None
    logged = None if seen.size_mm is None else Size(hundredths(seen.size_mm))
    if measured is None or (logged and logged.hundredths > measured.hundredths):
        return logged
    return measured


def implied(facts: Facts, numbers: Iterable[str]) -> Iterator[Imperfection]:
    """Return which of these numbers the log tells of without naming them.

    They are what was measured, and 2025 where the crater was left open.
    """
    named = {name for each in facts.imperfections or () for name in names_of(each.number)}
    for number in numbers:
        if number == "2025":
            found = facts.crater_filled is False and "crater_pipe" not in named
        else:
            found = number not in named and MEASURED[number](facts) is not None
        if found:
            yield Imperfection(number=number)


def porosity_percent(facts: Facts, seen: Imperfection) -> float | None:
    """Return the share of the weld face that pores of one size take up [%].

    Counted on the stretch that was logged with them, else on the whole weld.
    """
    length = facts.weld_length_mm if seen.length_mm is None else seen.length_mm
    width = face_width_mm(facts)
    face = (length or 0.0) * (width or 0.0)
    if not (seen.size_mm and seen.count and face):
        return None
    return min(100 * seen.count * math.pi / 4 * seen.size_mm**2 / face, 100.0)
