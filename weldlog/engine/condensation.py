"""Whether water forms on metal that is colder than the air (notes section 1.6)."""

from bisect import bisect_left
from collections.abc import Iterator
from typing import Final

from weldlog.engine.facts import Facts
from weldlog.engine.findings import Finding, NotAssessed, Rule
from weldlog.engine.tables import rows

CONDENSATION: Final = Rule(
    id="cleaning-condensation",
    severity="stop",
    says="The metal is {colder:g} °C colder than the air, so water from the air settles on it once "
    "the relative humidity is above {allowed:.0f} %, and it was {humidity:g} %. Let the metal warm "
    "up to the room, then clean it.",
    source="prep-S17",
    fields=("air_c", "metal_c", "relative_humidity_percent"),
)
RULES: Final = (CONDENSATION,)

_TABLE: Final = tuple(
    (float(row["air_minus_metal_k"]), float(row["relative_humidity_percent"]))
    for row in rows("condensation.tsv")
)
_COLDER: Final = [colder for colder, _ in _TABLE]


def condensation_humidity_percent(air_c: float, metal_c: float) -> float:
    """Return the relative humidity above which water forms on the metal [percent].

    Between the rows of the table it is interpolated; beyond 20 K the last slope is carried on down
    to nothing, which lies below the Magnus formula and so on the safe side.

    Parameters
    ----------
    air_c, metal_c : float
        Temperatures [degrees C]; metal as warm as the air or warmer stays dry up to 100 percent.

    References
    ----------
    prep-S17.

    >>> condensation_humidity_percent(25, 20)
    70.0
    """
    colder = air_c - metal_c
    if colder <= 0:
        return 100.0
    place = min(bisect_left(_COLDER, colder), len(_TABLE) - 1)
    (low, above), (high, below) = _TABLE[place - 1], _TABLE[place]
    return max(0.0, above + (below - above) * (colder - low) / (high - low))


def check_condensation(facts: Facts) -> Iterator[Finding | NotAssessed]:
    """Judge whether water can have formed on the metal before it was cleaned or welded."""
    air, metal, humidity = facts.air_c, facts.metal_c, facts.relative_humidity_percent
    if air is not None and metal is not None and metal >= air:
        return
    if air is None or metal is None or humidity is None:
        logged = zip(CONDENSATION.fields, (air, metal, humidity), strict=True)
        missing = tuple(name for name, value in logged if value is None)
        yield NotAssessed("water on cold metal", missing)
        return
    allowed = condensation_humidity_percent(air, metal)
    if humidity > allowed:
        yield CONDENSATION.found(
            measured=humidity,
            limit=round(allowed, 1),
            colder=round(air - metal, 1),
            allowed=allowed,
            humidity=humidity,
        )
