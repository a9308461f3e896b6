"""The size of the tungsten against the current on AC (section 2.4 of the heat notes)."""

from bisect import bisect_left
from collections.abc import Iterator
from functools import lru_cache
from typing import Final

from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.tables import rows
from weldlog.engine.written import in_units

OVERLOADED: Final = Rule(
    id="setup-tungsten-small",
    severity="warn",
    says="{current_text} is much for a tungsten of {diameter_text}, which carries up to about "
    "{limit_a:.0f} A on AC. It can melt and spit into the weld; take the next size up.",
    source="heat-S31",
    fields=("current_a", "tungsten.diameter_mm"),
)
OVERSIZE: Final = Rule(
    id="setup-tungsten-large",
    severity="warn",
    says="{current_text} is little for a tungsten of {diameter_text}. The arc wanders on a cold "
    "tip; below about {limit_a:.0f} A take a smaller size.",
    source="heat-S31",
    fields=("current_a", "tungsten.diameter_mm"),
)
RULES: Final = (OVERLOADED, OVERSIZE)

_TABLE: Final = tuple(
    (float(row["diameter_mm"]), float(row["balanced_min_a"]) / 2, float(row["unbalanced_max_a"]))
    for row in rows("tungsten.tsv")
)
_SIZES: Final = [size for size, _, _ in _TABLE]


@lru_cache(maxsize=256)  # tungstens come in six sizes
def current_range_a(diameter_mm: float) -> tuple[float, float] | None:
    """Return the smallest and largest AC current that nothing is said about [A].

    From half of the least balanced current to the largest unbalanced one; sizes between the rows
    of the table are interpolated.

    Parameters
    ----------
    diameter_mm : float
        Diameter of the tungsten, 1.0 to 4.8 [mm]; None is returned outside.

    References
    ----------
    heat-S31 (heat-S32 agrees, but is not independent of it).

    >>> current_range_a(2.4)
    (50.0, 250.0)
    """
    if not _SIZES[0] <= diameter_mm <= _SIZES[-1]:
        return None
    place = max(1, bisect_left(_SIZES, diameter_mm))
    (thin, low, high), (thick, low_thick, high_thick) = _TABLE[place - 1], _TABLE[place]
    share = (diameter_mm - thin) / (thick - thin)
    return low + share * (low_thick - low), high + share * (high_thick - high)


def check_tungsten(case: Case) -> Iterator[Finding | NotAssessed]:
    """Judge the size of the tungsten of a GTAW coupon on AC."""
    facts = case.facts
    if facts.process != "GTAW" or facts.polarity not in ("AC", None):
        return
    current = case.figures.mean_current_a
    current = facts.current_a if current is None else current
    diameter = facts.tungsten.diameter_mm if facts.tungsten else None
    allowed = current_range_a(diameter) if diameter is not None else None
    if current is None or diameter is None or allowed is None:
        logged = (("current_a", current), ("tungsten.diameter_mm", allowed))
        missing = tuple(name for name, value in logged if value is None)
        yield NotAssessed("size of the tungsten", missing)
        return
    least, most = allowed
    for rule, wrong, limit in (
        (OVERLOADED, current > most, most),
        (OVERSIZE, current < least, least),
    ):
        if wrong:
            yield rule.found(
                measured=current,
                limit=limit,
                current=current,
                diameter=diameter,
                limit_a=limit,
                current_text=in_units(current, "A", unlike=limit),
                diameter_text=in_units(diameter, "mm"),
            )
