"""Gauges and charts put things where a reader expects them, at every width and for every value.

The lane of the window (the middle 40 %) and the 2 % stop are this project's own drawing rules.
"""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from coursework.drawing import bars, gauge, scatter, trace

values = st.floats(-1e6, 1e6, allow_nan=False)


@st.composite
def windows(draw: st.DrawFn) -> tuple[float, float]:
    low, high = sorted((draw(values), draw(values)))
    assume(high - low > 1e-3)
    return low, high


@given(windows())
def test_the_limits_of_every_window_stand_at_the_same_two_places(
    window: tuple[float, float],
) -> None:
    low, high = window
    at_low, at_high = gauge(low, low, high), gauge(high, low, high)
    assert at_low is not None
    assert at_high is not None
    assert at_low.pointer == pytest.approx(30.0, abs=1e-4)
    assert at_high.pointer == pytest.approx(70.0, abs=1e-4)
    assert (at_low.lane_x, at_low.lane_width) == (30.0, 40.0)


@given(windows(), values)
def test_the_pointer_stays_on_the_line_and_on_its_side_of_the_window(
    window: tuple[float, float], value: float
) -> None:
    low, high = window
    placed = gauge(value, low, high)
    assert placed is not None
    assert placed.pointer is not None
    assert 2.0 <= placed.pointer <= 98.0
    assert placed.side == ("below" if value < low else "above" if value > high else "inside")


def test_the_scale_is_linear() -> None:
    placed = gauge(4.2, 3.4, 5.0)  # halfway between the limits is halfway along the line
    assert placed is not None
    assert placed.pointer == pytest.approx(50.0)


def test_a_missing_figure_has_a_window_and_no_pointer() -> None:
    placed = gauge(None, 1.6, 3.2)
    assert placed is not None
    assert placed.pointer is None
    assert placed.side == ""


def test_one_limit_alone_is_drawn_at_its_usual_place_and_open_on_the_other_side() -> None:
    at_least, at_most = gauge(3.0, 6.0, None), gauge(7.0, None, 14.0)
    assert at_least is not None
    assert at_most is not None
    assert (at_least.lane_x, at_least.lane_width, at_least.side) == (30.0, 70.0, "below")
    assert (at_most.lane_x, at_most.lane_width, at_most.side) == (0.0, 70.0, "inside")
    assert at_least.pointer == pytest.approx(15.0)
    assert at_most.pointer == pytest.approx(35.0)


@pytest.mark.parametrize("window", [(None, None), (5.0, 5.0), (5.0, 3.4), (0.0, None), (None, 0.0)])
def test_without_a_window_there_is_no_gauge(window: tuple[float | None, float | None]) -> None:
    assert gauge(4.0, *window) is None


def test_bars_grow_from_one_base_in_proportion() -> None:
    chart = bars([("1", 10), ("2", 5), ("3", 0)], current="2", plot_px=80)
    assert [bar.height for bar in chart.bars] == [80, 40, 0]
    assert {bar.y + bar.height for bar in chart.bars} == {chart.base_y}
    assert [bar.current for bar in chart.bars] == [False, True, False]


@given(st.lists(st.integers(0, 10_000), max_size=40))
def test_bars_stand_side_by_side_within_the_drawing(counts: list[int]) -> None:
    chart = bars([(str(number), count) for number, count in enumerate(counts)])
    edges = [edge for bar in chart.bars for edge in (bar.x, bar.x + bar.width)]
    assert edges == sorted(edges)
    assert all(0 <= edge <= 100 + 1e-9 for edge in edges)
    assert all(bar.y >= 0 for bar in chart.bars)


def test_a_missing_value_leaves_a_gap_in_the_trace() -> None:
    chart = trace([("18", 4.8), ("21", 3.1), ("22", None), ("23", 4.2)], 3.4, 5.0)
    assert [dot.label for dot in chart.dots] == ["18", "21", "23"]
    assert [dot.side for dot in chart.dots] == ["inside", "below", "inside"]
    assert len(chart.lines) == 1
    assert [text for _, text in chart.labels] == ["18", "21", "22", "23"]


@given(st.lists(values, min_size=1, max_size=30), windows())
def test_dots_inside_the_window_lie_on_its_lane(
    readings: list[float], window: tuple[float, float]
) -> None:
    chart = scatter([("7", readings)], *window)
    for dot, reading in zip(chart.dots, readings, strict=True):
        inside = window[0] <= reading <= window[1]
        on_lane = chart.lane_y <= dot.y <= chart.lane_y + chart.lane_height
        assert not inside or on_lane
        assert 0 < dot.x < 100
        assert 0 <= dot.y <= chart.base_y


def test_charts_without_values_or_window_still_stand() -> None:
    assert trace([]).dots == ()
    assert trace([("1", 4.0)]).lane_height == 0
    assert bars([]).bars == ()
    assert scatter([("1", [])]).dots == ()
