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
PURE_OVERLOADED: Final = Rule(
    id="setup-tungsten-pure-small",
    severity="warn",
    says="{current_text} is much for a pure tungsten of {diameter_text}, which carries up to about "
    "{limit_a:.0f} A on AC. It can melt and spit into the weld; take an alloyed tungsten or a "
    "larger one.",
    source="heat-S20",
    fields=("current_a", "tungsten.diameter_mm", "tungsten.type"),
)
OVERSIZE: Final = Rule(
    id="setup-tungsten-large",
    severity="warn",
    says="{current_text} is little for a tungsten of {diameter_text}. The arc wanders on a cold "
    "tip; below about {limit_a:.0f} A take a smaller size.",
    source="heat-S31",
    fields=("current_a", "tungsten.diameter_mm"),
)
RULES: Final = (OVERLOADED, PURE_OVERLOADED, OVERSIZE)

type _Sizes = tuple[tuple[float, float, float], ...]


def _sizes(low: str, high: str) -> _Sizes:
    """Return diameter, half of the least and the largest current of each size in the table."""
    return tuple(
        (float(row["diameter_mm"]), float(row[low]) / 2, float(row[high]))
        for row in rows("tungsten.tsv")
        if row[high]
    )


_ALLOYED: Final = _sizes("balanced_min_a", "unbalanced_max_a")
_PURE: Final = _sizes("pure_min_a", "pure_max_a")


@lru_cache(maxsize=256)  # tungstens come in six sizes
def current_range_a(diameter_mm: float, *, pure: bool = False) -> tuple[float, float] | None:
    """Return the smallest and largest AC current that nothing is said about [A].

    From half of the least balanced current to the largest unbalanced one; sizes between the rows
    of the table are interpolated. Pure tungsten carries about half as much.

    Parameters
    ----------
    diameter_mm : float
        Diameter of the tungsten, 1.0 to 4.8, pure 1.0 to 3.2 [mm]; None is returned outside.
    pure : bool
        Whether it is pure tungsten.

    References
    ----------
    heat-S31 (heat-S32 agrees, but is not independent of it); pure heat-S20, the heads of whose
    columns were put together from run-on text.

    >>> current_range_a(2.4), current_range_a(1.6, pure=True)
    ((50.0, 250.0), (15.0, 80.0))
    """
    table = _PURE if pure else _ALLOYED
    sizes = [size for size, _, _ in table]
    if not sizes[0] <= diameter_mm <= sizes[-1]:
        return None
    place = max(1, bisect_left(sizes, diameter_mm))
    (thin, low, high), (thick, low_thick, high_thick) = table[place - 1], table[place]
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
    pure = facts.tungsten is not None and facts.tungsten.type == "pure"
    allowed = current_range_a(diameter, pure=pure) if diameter is not None else None
    if current is None or diameter is None or allowed is None:
        logged = (("current_a", current), ("tungsten.diameter_mm", allowed))
        missing = tuple(name for name, value in logged if value is None)
        yield NotAssessed("size of the tungsten", missing)
        return
    least, most = allowed
    if current > most:
        yield _found(PURE_OVERLOADED if pure else OVERLOADED, current, diameter, most)
    elif current < least:
        yield _found(OVERSIZE, current, diameter, least)


def _found(rule: Rule, current_a: float, diameter_mm: float, limit_a: float) -> Finding:
    return rule.found(
        measured=current_a,
        limit=limit_a,
        current=current_a,
        diameter=diameter_mm,
        limit_a=limit_a,
        current_text=in_units(current_a, "A", unlike=limit_a),
        diameter_text=in_units(diameter_mm, "mm"),
    )
