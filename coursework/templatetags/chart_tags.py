"""Charts, drawn on the server, each with title and description and the same numbers as a table.

``{% bar_chart title points current=… %}`` · ``{% trace_chart title points low high … %}`` ·
``{% scatter_chart title columns low high … %}`` · ``{% row_chart chart %}``. ``points`` are pairs
of label and number, ``columns`` pairs of label and numbers; a missing number is None.

Bars, rows and tables come to their templates as ready text: a page has hundreds of them.
"""

from collections.abc import Iterable, Sequence
from html import escape
from typing import Any

from django import template
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from coursework.drawing import LABEL_DROP_PX, VALUE_GAP_PX, BarChart, bars, scatter, trace
from coursework.spread import RowMark
from coursework.templatetags.weldlog_tags import percent

register = template.Library()

FEWEST_FOR_A_TREND = 3
ROW_PX = 44
POST = 0.8
"""Width of the post at a median [percent]."""


def _said(rows: Iterable[tuple[str, str]]) -> str:
    """Return labels and values in one sentence, for ears."""
    return ", ".join(f"{label}: {value}" for label, value in rows)


def _table(rows: Iterable[tuple[str, str]]) -> SafeString:
    row = '<tr><th scope="row">{}</th><td class="number">{}</td></tr>'
    return format_html_join("", row, rows)


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
    said = {"title": title, "label_name": label_name, "said": _said(rows)}
    return said | {"chart": chart, "bars": _bars(chart), "table": _table(rows)}


def _bars(chart: BarChart) -> SafeString:
    label_y = chart.base_y + LABEL_DROP_PX
    drawn = (
        f'<rect class="{"bar current" if bar.current else "bar"}" x="{percent(bar.x)}" '
        f'width="{percent(bar.width)}" y="{bar.y}" height="{bar.height}" />'
        f'<text class="value-text" x="{percent(bar.middle)}" y="{bar.y - VALUE_GAP_PX}" '
        f'text-anchor="middle">{bar.text}</text>'
        f'<text x="{percent(bar.middle)}" y="{label_y}" text-anchor="middle">'
        f"{escape(bar.label)}</text>"
        for bar in chart.bars
    )
    return SafeString("".join(drawn))


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
    words |= {"said": _said(rows), "table": _table(rows)}
    return {**words, "chart": chart, "too_few": few, "values_shown": True}


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
    words |= {"said": _said(rows), "table": _table(rows)}
    return {**words, "chart": chart, "too_few": few, "values_shown": False}


@register.inclusion_tag("components/row_chart.html")
def row_chart(chart: Any) -> dict[str, Any]:
    """Draw one row a line: a bar, and where there is one its window, ends and median."""
    drawn = (_row(ROW_PX * place, row) for place, row in enumerate(chart.rows))
    return {
        "chart": chart,
        "height": ROW_PX * len(chart.rows),
        "said": _said((row.label, row.text) for row in chart.rows),
        "rows": SafeString("".join(drawn)),
        "table": _wide_table(chart.header, chart.table),
    }


def _row(y: int, row: RowMark) -> str:
    """Return one row: numbers, and words that are escaped."""
    return (
        f'<svg y="{y}" height="{ROW_PX}"><text x="0" y="16">{escape(row.label)}</text>'
        f'<text class="value-text" x="100%" y="16" text-anchor="end">{escape(row.text)}</text>'
        f"{_span('lane', row.lane, 22, 18)}{_span('thin', row.thin, 30, 2)}"
        f"{_span('bar', row.bar, 25, 12)}"
        f"{_span('post', None if row.mark is None else (row.mark, POST), 22, 18)}"
        '<line class="datum" x1="0" x2="100%" y1="41" y2="41" /></svg>'
    )


def _span(shape: str, span: tuple[float, float] | None, y: int, height: int) -> str:
    if span is None:
        return ""
    start, width = map(percent, span)
    return f'<rect class="{shape}" x="{start}" width="{width}" y="{y}" height="{height}" />'


def _wide_table(header: Sequence[str], table: Iterable[Sequence[str]]) -> SafeString:
    """Return rows whose first cell is their header; on phones each cell says its column."""
    cells = ('<td role="cell" data-name="{}">{}</td>' for _name in header[1:])
    row = '<tr role="row"><th role="rowheader" scope="row">{}</th>' + "".join(cells) + "</tr>"
    values = (
        (first, *(part for pair in zip(header[1:], rest, strict=True) for part in pair))
        for first, *rest in table
    )
    return format_html_join("", row, values)
