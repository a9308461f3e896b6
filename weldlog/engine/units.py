"""Every unit conversion, once. The engine itself knows base units only.

The factors are exact by definition: the inch is 25.4 mm and the foot 12 inches (international yard
and pound agreement of 1959), a kelvin step is a Celsius step. Notes, values: kJ/in x 0.0393700787,
ft3/h x 0.4719474432, ft3 x 28.316846592.
"""

from dataclasses import dataclass
from typing import Final

INCH_MM: Final = 25.4
MINUTE_S: Final = 60.0
HOUR_S: Final = 3600.0
CUBIC_FOOT_L: Final = (12 * INCH_MM) ** 3 / 1e6


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: ``base value = value * factor + offset``, in the base unit that it belongs to."""

    symbol: str
    base: str
    factor: float
    offset: float = 0.0


_ALL = (
    Unit("mm", "mm", 1.0),
    Unit("cm", "mm", 10.0),
    Unit("m", "mm", 1000.0),
    Unit("in", "mm", INCH_MM),
    Unit("0.001 in", "mm", INCH_MM / 1000),
    Unit("ft", "mm", 12 * INCH_MM),
    Unit("mm/s", "mm/s", 1.0),
    Unit("mm/min", "mm/s", 1 / MINUTE_S),
    Unit("cm/min", "mm/s", 10 / MINUTE_S),
    Unit("m/min", "mm/s", 1000 / MINUTE_S),
    Unit("m/s", "mm/s", 1000.0),
    Unit("in/min", "mm/s", INCH_MM / MINUTE_S),
    Unit("s", "s", 1.0),
    Unit("min", "s", MINUTE_S),
    Unit("h", "s", HOUR_S),
    Unit("A", "A", 1.0),
    Unit("V", "V", 1.0),
    Unit("Hz", "Hz", 1.0),
    Unit("%", "%", 1.0),
    Unit("kJ", "kJ", 1.0),
    Unit("J", "kJ", 0.001),
    Unit("kW", "kW", 1.0),
    Unit("W", "kW", 0.001),
    Unit("kJ/mm", "kJ/mm", 1.0),
    Unit("kJ/cm", "kJ/mm", 0.1),
    Unit("kJ/in", "kJ/mm", 1 / INCH_MM),
    Unit("J/mm", "kJ/mm", 0.001),
    Unit("J/in", "kJ/mm", 0.001 / INCH_MM),
    Unit("L/min", "L/min", 1.0),
    Unit("ft3/h", "L/min", CUBIC_FOOT_L / 60),
    Unit("L", "L", 1.0),
    Unit("ft3", "L", CUBIC_FOOT_L),
    Unit("mm²", "mm²", 1.0),
    Unit("in²", "mm²", INCH_MM**2),
    Unit("°C more", "°C more", 1.0),
    Unit("°F more", "°C more", 5 / 9),
    Unit("°C", "°C", 1.0),
    Unit("°F", "°C", 5 / 9, -160 / 9),
)
UNITS: Final[dict[str, Unit]] = {unit.symbol: unit for unit in _ALL}


def to_base(value: float, unit: str) -> float:
    """Return what was stated in a unit, in the base unit that it belongs to.

    Parameters
    ----------
    value : float
        The number [``unit``].
    unit : str
        One of ``UNITS``.

    Returns
    -------
    float
        The number [base unit: mm, mm/s, s, kJ/mm, L/min, °C, ...].

    Raises
    ------
    KeyError
        When there is no such unit.

    >>> round(to_base(10, "in/min"), 6)
    4.233333
    """
    known = UNITS[unit]
    return value * known.factor + known.offset


def from_base(value: float, unit: str) -> float:
    """Return a number in base units in another unit of the same kind.

    >>> round(from_base(to_base(250, "mm/min"), "in/min"), 6)
    9.84252
    """
    known = UNITS[unit]
    return (value - known.offset) / known.factor


def convert(value: float, unit: str, into: str) -> float:
    """Return a number in another unit of the same kind.

    Raises
    ------
    ValueError
        When the two units do not measure the same thing.

    >>> convert(1, "kJ/mm", "kJ/in")
    25.4
    >>> convert(1, "mm", "s")
    Traceback (most recent call last):
    ...
    ValueError: mm cannot be turned into s.
    """
    if UNITS[unit].base != UNITS[into].base:
        raise ValueError(f"{unit} cannot be turned into {into}.")
    return from_base(to_base(value, unit), into)
