"""How numbers are written in a sentence: plain digits, metric first, the shop unit in brackets.

They carry as many figures as on the pages: travel speed, wire feed and gas flow two, all others
three, and every number in a shop unit two. From 1000 up they are written whole.
"""

from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Final

from weldlog.engine.units import convert

NO_BREAK_SPACE: Final = "\u00a0"
REMEMBERED: Final = 16384
"""Numbers kept as written: limits, and readings to a whole number, come back in every coupon."""
LEAST: Final = 0.001
MOST: Final = 1e9
FIGURES: Final = 3
SHOP_FIGURES: Final = 2
_TWO_FIGURES: Final = frozenset({"mm/min", "mm/s", "m/min", "L/min"})
_BESIDE: Final = {
    "mm/min": "in/min",
    "mm/s": "in/min",
    "m/min": "in/min",
    "L/min": "ft3/h",
    "kJ/mm": "kJ/in",
    "mm": "in",
    "m": "ft",
}
_SHOP_NAMES: Final = {"ft3/h": "CFH"}


def joined(text: str) -> str:
    """Return a text in which no line ends between a number and its percent sign."""
    return text.replace(" %", f"{NO_BREAK_SPACE}%")


@lru_cache(maxsize=REMEMBERED)
def plain(value: float, figures: int = FIGURES) -> str:
    """Write a number with so many significant figures, without an exponent; halves go up.

    >>> plain(203.2, 2), plain(12700, 2).replace(NO_BREAK_SPACE, " "), plain(0.125)
    ('200', '12 700', '0.125')
    >>> plain(1e-9), plain(-1e-9), plain(1e300).replace(NO_BREAK_SPACE, " ")
    ('less than 0.001', 'below 0', 'more than 1 000 000 000')
    """
    if abs(value) > MOST:
        return f"more than {plain(MOST)}" if value > 0 else f"less than {plain(-MOST)}"
    if 0 < abs(value) < LEAST:
        return f"less than {LEAST:g}" if value > 0 else "below 0"
    exact = Decimal(str(value))
    last = 0 if abs(value) >= 1000 else exact.adjusted() - figures + 1
    rounded = exact.quantize(Decimal(1).scaleb(last), ROUND_HALF_UP)
    text = f"{rounded:,f}" if abs(rounded) >= 10_000 else f"{rounded:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace(",", NO_BREAK_SPACE)


@lru_cache(maxsize=REMEMBERED)
def in_units(value: float, unit: str, *, unlike: float | None = None) -> str:
    """Write a number with its unit, and the same in the shop unit where there is one.

    Parameters
    ----------
    value : float
        The number [``unit``].
    unit : str
        Unit in which it is written.
    unlike : float
        A limit from which it is told apart, by more figures where it takes them [``unit``].

    >>> in_units(12700, "mm/min").replace(NO_BREAK_SPACE, " ")
    '12 700 mm/min (500 in/min)'
    >>> in_units(451, "mm/min", unlike=450).replace(NO_BREAK_SPACE, " ")
    '451 mm/min (18 in/min)'
    """
    figures = _figures(unit)
    while (
        unlike not in (None, value)
        and figures < 6
        and plain(value, figures) == plain(unlike, figures)
    ):
        figures += 1
    return " ".join(_both([value], unit, figures))


@lru_cache(maxsize=REMEMBERED)
def span(low: float, high: float, unit: str) -> str:
    """Write from where to where, as ``in_units`` writes a number.

    >>> span(4, 15, "L/min").replace(NO_BREAK_SPACE, " ")
    '4 to 15 L/min (8.5 to 32 CFH)'
    """
    return " ".join(_both([low, high], unit, _figures(unit)))


def _figures(unit: str) -> int:
    return SHOP_FIGURES if unit in _TWO_FIGURES else FIGURES


def _both(values: list[float], unit: str, figures: int) -> Iterator[str]:
    yield _stated(values, unit, figures)
    if unit in _BESIDE:
        shop = _BESIDE[unit]
        others = [convert(value, unit, shop) for value in values]
        yield f"({_stated(others, _SHOP_NAMES.get(shop, shop), SHOP_FIGURES)})"


def _stated(values: list[float], unit: str, figures: int) -> str:
    numbers = " to ".join(plain(value, figures) for value in values)
    space = "" if unit in ("", "°") else NO_BREAK_SPACE
    return f"{numbers}{space}{unit}"
