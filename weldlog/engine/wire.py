"""The wire of GMAW: whether a feeder can push it, and whether a current sprays it (rows T15, T20).

A filler maker's handbook (prep-S1 p. 127) lets a plain push feeder push wire of 1.6 mm and more.
Shops push 5xxx wire of 1.2 mm through 3 m every day: it is stiff enough. That side is taken for
5xxx; for the soft 1xxx, 2xxx and 4xxx wires, and where the wire is not known, the handbook's.
"""

from bisect import bisect_left
from collections.abc import Iterator
from functools import lru_cache
from typing import Final

from weldlog.engine.facts import Facts, Filler
from weldlog.engine.filler_metals import find
from weldlog.engine.findings import Finding, NotAssessed, Rule
from weldlog.engine.sources import Sourced
from weldlog.engine.tables import rows
from weldlog.engine.written import in_units

LEAST_PUSHED_MM: Final = Sourced(1.6, "prep-S1")
LEAST_STIFF_PUSHED_MM: Final = Sourced(1.19, "practice")
"""Least 5xxx wire that a plain push feeder can push [mm]; 3/64 in, which is sold as 1.2 mm."""
SPRAY_MARGIN: Final = 0.9
"""Share of the least printed current below which spray is doubted: the tables differ by 10 %
between makers (heat notes 3.2, heat-S25 to heat-S27)."""

PUSH_THIN_WIRE: Final = Rule(
    id="setup-push-thin-wire",
    severity="warn",
    says="A plain push feeder buckles {kind} wire of {logged_text}. Use a push-pull gun or a spool "
    "gun, or wire of {wanted_text} and more.",
    source="prep-S1",
    fields=("wire_feed_path.feeder", "filler.designation", "filler.diameter_mm"),
)
SPRAY_CURRENT_LOW: Final = Rule(
    id="setup-spray-current-low",
    severity="warn",
    says="The log says spray, and {current_text} is little for wire of {wire_text}, which sprays "
    "at about {usual_text}. Below that large drops fall and the weld is cold: raise the current, "
    "take a thinner wire, or use pulsed transfer.",
    source="heat-S28",
    fields=("transfer", "current_a", "filler.diameter_mm"),
)
RULES: Final = (PUSH_THIN_WIRE, SPRAY_CURRENT_LOW)

_CURRENTS: Final = tuple(
    (float(row["wire_mm"]), float(row["low_a"]), float(row["high_a"]))
    for row in rows("wire_currents.tsv")
)
_SIZES: Final = [size for size, _, _ in _CURRENTS]
_SLACK_MM: Final = 0.05
"""What is sold as 0.8 mm is 0.762 mm, and 2.4 mm is 2.381 mm."""


def check_wire(facts: Facts) -> Iterator[Finding | NotAssessed]:
    """Judge the wire of a GMAW coupon against its feeder and its current."""
    wire = facts.filler if isinstance(facts.filler, Filler) else None
    if facts.process != "GMAW":
        return
    path = facts.wire_feed_path
    if path is not None and path.feeder == "push":
        if wire is None or wire.diameter_mm is None:
            yield NotAssessed("wire feed path", ("filler.diameter_mm",))
        else:
            yield from _pushed(wire.designation, wire.diameter_mm)
    if facts.transfer == "spray" and wire and wire.diameter_mm and facts.current_a:
        yield from _sprayed(facts.current_a, wire.diameter_mm)


def _pushed(designation: str, wire_mm: float) -> Iterator[Finding]:
    known = find(designation)
    stiff = known is not None and known.family == "5xxx"
    least = (LEAST_STIFF_PUSHED_MM if stiff else LEAST_PUSHED_MM).value
    if wire_mm < least:
        yield PUSH_THIN_WIRE.found(
            measured=wire_mm,
            limit=least,
            logged=wire_mm,
            wanted=least,
            kind="thin" if stiff else "soft",
            logged_text=in_units(wire_mm, "mm", unlike=least),
            wanted_text=in_units(least, "mm"),
        )


def _sprayed(current_a: float, wire_mm: float) -> Iterator[Finding]:
    usual = spray_currents_a(wire_mm)
    if usual and current_a < SPRAY_MARGIN * usual[0]:
        low, high = usual
        yield SPRAY_CURRENT_LOW.found(
            measured=current_a,
            limit=SPRAY_MARGIN * low,
            current_text=in_units(current_a, "A", unlike=low),
            wire_text=in_units(wire_mm, "mm"),
            usual_text=f"{low:.0f} to {in_units(round(high), 'A')}",
        )


@lru_cache(maxsize=256)  # wires come in a few sizes
def spray_currents_a(wire_mm: float) -> tuple[float, float] | None:
    """Return from where to where a wire is used in spray [A]; a straight line between sizes.

    Parameters
    ----------
    wire_mm : float
        0.8 to 2.4 [mm]; None is returned outside.

    Source: heat-S28.

    >>> spray_currents_a(1.2), spray_currents_a(3.2)
    ((120.0, 210.0), None)
    """
    if not _SIZES[0] - _SLACK_MM <= wire_mm <= _SIZES[-1] + _SLACK_MM:
        return None
    place = min(max(1, bisect_left(_SIZES, wire_mm)), len(_SIZES) - 1)
    (thin, low, high), (thick, low_thick, high_thick) = _CURRENTS[place - 1], _CURRENTS[place]
    share = min(1.0, max(0.0, (wire_mm - thin) / (thick - thin)))
    return low + share * (low_thick - low), high + share * (high_thick - high)
