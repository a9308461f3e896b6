"""How far values lie apart, and where a row of a chart draws that, in percent of its width."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

FEWEST: Final = 3
"""Below this many values a spread says nothing (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Spread:
    """Where values lie: the middle 90 % from ``low`` to ``high``, the middle half, the median."""

    low: float
    lower: float
    median: float
    upper: float
    high: float
    number: int


def spread(values: Iterable[float]) -> Spread | None:
    """Return where values lie; None where they are too few to say.

    >>> spread([1, 2, 3, 4, 5])
    Spread(low=1.2, lower=2.0, median=3.0, upper=4.0, high=4.8, number=5)
    """
    ordered = sorted(values)
    if len(ordered) < FEWEST:
        return None
    low, lower, median, upper, high = (
        quantile(ordered, share) for share in (0.05, 0.25, 0.5, 0.75, 0.95)
    )
    return Spread(low, lower, median, upper, high, len(ordered))


def quantile(ordered: Sequence[float], share: float) -> float:
    """Return the value below which a share of sorted values lies, linear between neighbors."""
    place = share * (len(ordered) - 1)
    below = int(place)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (place - below) * (ordered[above] - ordered[below])


def relative_spread_percent(values: Sequence[float]) -> float | None:
    """Return the standard deviation of a sample over its mean [percent].

    None where there are too few values, or where their mean is zero.

    >>> round(relative_spread_percent([4.0, 5.0, 6.0]), 1)
    20.0
    """
    if len(values) < FEWEST:
        return None
    mean = math.fsum(values) / len(values)
    if not mean:
        return None
    variance = math.fsum((each - mean) ** 2 for each in values) / (len(values) - 1)
    return 100 * math.sqrt(variance) / mean


@dataclass(frozen=True, slots=True)
class RowMark:
    """One row of a chart: a label, its value in words, and spans as (start, width) in percent.

    ``lane`` is the window, ``thin`` the middle 90 %, ``bar`` the middle half or the value itself,
    ``mark`` the median.
    """

    label: str
    text: str
    bar: tuple[float, float] | None = None
    thin: tuple[float, float] | None = None
    lane: tuple[float, float] | None = None
    mark: float | None = None


type Window = tuple[float, float] | None


def spread_rows(
    rows: Sequence[tuple[str, str, Spread | None, Window]],
) -> list[RowMark]:
    """Lay spreads out on one scale from zero; a row without values has a label alone."""
    ends = [high for _label, _text, each, _lane in rows if each for high in (each.high,)]
    ends += [window[1] for _label, _text, each, window in rows if each and window]
    scale = 100 / (max(ends, default=0) or 1)
    return [_spread_row(*row, scale) for row in rows]


def _spread_row(
    label: str, text: str, found: Spread | None, window: Window, scale: float
) -> RowMark:
    lane = _span(*window, scale) if window else None
    if found is None:
        return RowMark(label, text)
    return RowMark(
        label,
        text,
        bar=_span(found.lower, found.upper, scale),
        thin=_span(found.low, found.high, scale),
        lane=lane,
        mark=found.median * scale,
    )


def value_rows(rows: Sequence[tuple[str, str, float | None]]) -> list[RowMark]:
    """Lay single values out as bars from zero."""
    scale = 100 / (max((value for *_words, value in rows if value), default=0) or 1)
    return [
        RowMark(label, text, bar=None if value is None else _span(0, value, scale))
        for label, text, value in rows
    ]


def _span(start: float, end: float, scale: float) -> tuple[float, float]:
    return (start * scale, (end - start) * scale)
