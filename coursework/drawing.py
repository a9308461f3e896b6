"""Where things go in a gauge or a chart, as plain numbers.

Along a drawing positions are in percent of its width, across it in CSS pixels, so that it fits any
screen while text and shapes keep their size. Nothing here knows of HTML.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

type Side = Literal["inside", "above", "below", ""]
type Number = float | int

LANE_START = 30.0
LANE_END = 70.0
POINTER_START = 2.0
POINTER_END = 98.0
TEXT_PX = 20
LABEL_PX = 24
LABEL_DROP_PX = 18
VALUE_GAP_PX = 5
BAR_SHARE = 0.72
GAUGE_TICKS = (0.0, 10.0, 20.0, 40.0, 50.0, 60.0, 80.0, 90.0, 100.0)


@dataclass(frozen=True, slots=True)
class Gauge:
    """A figure beside its window: the window is the middle 40 % of every gauge.

    ``pointer`` is None for a missing figure; ``lane_x`` and ``lane_width`` are the shaded part,
    which runs on to the end of the line where the window is open.
    """

    pointer: float | None
    side: Side
    lane_x: float
    lane_width: float
    ticks: tuple[float, ...] = GAUGE_TICKS


def gauge(value: Number | None, low: Number | None, high: Number | None) -> Gauge | None:
    """Place a figure on the linear scale whose 30 % is ``low`` and whose 70 % is ``high``.

    With one limit alone the scale begins at zero. Returns None where there is no window to draw:
    no limit at all, or limits that leave nothing between them.
    """
    scale = _scale(low, high)
    if scale is None:
        return None
    origin, span = scale
    start = 0.0 if low is None else LANE_START
    end = 100.0 if high is None else LANE_END
    if value is None:
        return Gauge(None, "", start, end - start)
    x = 100.0 * (value - origin) / span
    side = _side(value, low, high)
    return Gauge(min(max(x, POINTER_START), POINTER_END), side, start, end - start)


def _scale(low: Number | None, high: Number | None) -> tuple[float, float] | None:
    """Return the value at 0 % and the span up to 100 %."""
    if low is not None and high is not None:
        span = (high - low) / (LANE_END - LANE_START) * 100.0
        return (low - span * LANE_START / 100.0, span) if span > 0 else None
    if low is not None:
        return (0.0, low / LANE_START * 100.0) if low > 0 else None
    if high is not None:
        return (0.0, high / LANE_END * 100.0) if high > 0 else None
    return None


def _side(value: Number, low: Number | None, high: Number | None) -> Side:
    if low is not None and value < low:
        return "below"
    if high is not None and value > high:
        return "above"
    return "inside"


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar with its value above and its label below; ``middle`` is where both stand."""

    label: str
    text: str
    x: float
    width: float
    middle: float
    y: int
    height: int
    current: bool


@dataclass(frozen=True, slots=True)
class BarChart:
    """Bars on one base line."""

    height: int
    base_y: int
    bars: tuple[Bar, ...]


def bars(
    points: Sequence[tuple[str, Number]], *, current: str | None = None, plot_px: int = 76
) -> BarChart:
    """Lay out bars of counts from zero up; ``current`` is the label of the bar that is filled."""
    top = max((value for _, value in points), default=0) or 1
    base_y = TEXT_PX + plot_px
    step = 100.0 / max(len(points), 1)
    return BarChart(
        height=base_y + LABEL_PX,
        base_y=base_y,
        bars=tuple(
            Bar(
                label=label,
                text=f"{value:g}",
                x=step * (number + (1 - BAR_SHARE) / 2),
                width=step * BAR_SHARE,
                middle=step * (number + 0.5),
                y=base_y - round(plot_px * value / top),
                height=round(plot_px * value / top),
                current=label == current,
            )
            for number, (label, value) in enumerate(points)
        ),
    )


@dataclass(frozen=True, slots=True)
class Dot:
    """One measured value of a trace or a scatter chart."""

    label: str
    text: str
    x: float
    y: int
    side: Side


@dataclass(frozen=True, slots=True)
class DotChart:
    """Dots against their window, with the lines between neighbors of a trace.

    ``lane_y`` and ``lane_height`` are the window; ``lane_height`` is 0 where there is none.
    ``lines`` are pairs of ends ``(x1, y1, x2, y2)``; ``labels`` are ``(x, text)`` under the dots.
    """

    height: int
    base_y: int
    lane_y: int
    lane_height: int
    dots: tuple[Dot, ...]
    lines: tuple[tuple[float, int, float, int], ...]
    labels: tuple[tuple[float, str], ...]


def trace(
    points: Sequence[tuple[str, Number | None]],
    low: Number | None = None,
    high: Number | None = None,
    *,
    plot_px: int = 72,
) -> DotChart:
    """Lay out one value after the other; a value that is None leaves a gap in the line."""
    scale = _Heights.of([value for _, value in points], low, high, plot_px)
    step = 100.0 / max(len(points), 1)
    places = [step * (number + 0.5) for number in range(len(points))]
    dots = [
        None if value is None else _dot(label, value, x, scale)
        for x, (label, value) in zip(places, points, strict=True)
    ]
    neighbors = pairwise(dots)
    return _dot_chart(
        scale,
        dots=tuple(dot for dot in dots if dot),
        lines=tuple((a.x, a.y, b.x, b.y) for a, b in neighbors if a and b),
        labels=tuple(zip(places, (label for label, _ in points), strict=True)),
    )


def scatter(
    columns: Sequence[tuple[str, Sequence[Number]]],
    low: Number | None = None,
    high: Number | None = None,
    *,
    plot_px: int = 96,
) -> DotChart:
    """Lay out many values a column (a week), side by side in the order they are given."""
    scale = _Heights.of([value for _, values in columns for value in values], low, high, plot_px)
    step = 100.0 / max(len(columns), 1)
    return _dot_chart(
        scale,
        dots=tuple(
            _dot(label, value, step * (number + (index + 1) / (len(values) + 1)), scale)
            for number, (label, values) in enumerate(columns)
            for index, value in enumerate(values)
        ),
        labels=tuple((step * (number + 0.5), label) for number, (label, _) in enumerate(columns)),
    )


@dataclass(frozen=True, slots=True)
class _Heights:
    """A linear scale from values to pixels that holds every value and the window."""

    bottom: float
    span: float
    low: Number | None
    high: Number | None
    plot_px: int

    @classmethod
    def of(
        cls, values: Sequence[Number | None], low: Number | None, high: Number | None, plot_px: int
    ) -> "_Heights":
        known = [value for value in (*values, low, high) if value is not None] or [0]
        span = (max(known) - min(known)) or abs(known[0]) or 1
        return cls(min(known) - span * 0.1, span * 1.2, low, high, plot_px)

    def y(self, value: Number) -> int:
        return TEXT_PX + round(self.plot_px * (1 - (value - self.bottom) / self.span))


def _dot(label: str, value: Number, x: float, scale: _Heights) -> Dot:
    return Dot(label, f"{value:g}", x, scale.y(value), _side(value, scale.low, scale.high))


def _dot_chart(
    scale: _Heights,
    *,
    dots: tuple[Dot, ...],
    labels: tuple[tuple[float, str], ...],
    lines: tuple[tuple[float, int, float, int], ...] = (),
) -> DotChart:
    base_y = TEXT_PX + scale.plot_px
    top = TEXT_PX if scale.high is None else scale.y(scale.high)
    bottom = base_y if scale.low is None else scale.y(scale.low)
    windowed = scale.low is not None or scale.high is not None
    return DotChart(
        height=base_y + LABEL_PX,
        base_y=base_y,
        lane_y=top,
        lane_height=max(bottom - top, 0) if windowed else 0,
        dots=dots,
        lines=lines,
        labels=labels,
    )
