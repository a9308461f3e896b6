"""Charts, drawn on the server, each with a spoken sentence and the same numbers as a table.

``{% bar_chart title points current=… %}`` · ``{% trace_chart title points low high … %}`` ·
``{% scatter_chart title columns low high … %}`` · ``{% row_chart chart %}``. ``points`` are pairs
of label and number, ``columns`` pairs of label and numbers; a missing number is None.
"""

from collections.abc import Sequence
from typing import Any

from django import template

from coursework.drawing import bars, scatter, trace

register = template.Library()

FEWEST_FOR_A_TREND = 3
ROW_PX = 44


@register.inclusion_tag("components/bar_chart.html")
def bar_chart(
    title: str,
    points: Sequence[tuple[str, float]],
    current: str | None = None,
    label_name: str = "Week",
) -> dict[str, Any]:
    """Draw counts side by side, the current one filled."""
    rows = [(str(label), f"{value:g}") for label, value in points]
    chart = bars([(str(label), value) for label, value in points], current=current)
    return {"title": title, "chart": chart, "rows": rows, "label_name": label_name}


@register.inclusion_tag("components/dot_chart.html")
def trace_chart(
    title: str,
    points: Sequence[tuple[str, float | None]],
    low: float | None = None,
    high: float | None = None,
    unit: str = "",
    label_name: str = "Coupon",
) -> dict[str, Any]:
    """Draw one figure over the coupons; under three values it says that they are too few."""
    few = sum(value is not None for _, value in points) < FEWEST_FOR_A_TREND
    rows = [(str(label), "–" if value is None else f"{value:g}") for label, value in points]
    chart = trace([(str(label), value) for label, value in points], low, high)
    words = {"title": title, "unit": unit, "label_name": label_name, "low": low, "high": high}
    return {**words, "chart": chart, "rows": rows, "too_few": few, "values_shown": True}


@register.inclusion_tag("components/dot_chart.html")
def scatter_chart(
    title: str,
    columns: Sequence[tuple[str, Sequence[float]]],
    low: float | None = None,
    high: float | None = None,
    unit: str = "",
    label_name: str = "Week",
) -> dict[str, Any]:
    """Draw many values a column; those outside the window are filled."""
    few = sum(len(values) for _, values in columns) < FEWEST_FOR_A_TREND
    rows = [(str(label), ", ".join(f"{value:g}" for value in values)) for label, values in columns]
    chart = scatter([(str(label), values) for label, values in columns], low, high)
    words = {"title": title, "unit": unit, "label_name": label_name, "low": low, "high": high}
    return {**words, "chart": chart, "rows": rows, "too_few": few, "values_shown": False}


@register.inclusion_tag("components/row_chart.html")
def row_chart(chart: Any) -> dict[str, Any]:
    """Draw one row a line: a bar, and where there is one its window, ends and median."""
    rows = [(ROW_PX * place, row) for place, row in enumerate(chart.rows)]
    return {"chart": chart, "rows": rows, "height": ROW_PX * len(chart.rows)}
