"""How far values lie apart, held against the statistics module and numpy."""

import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursework.spread import quantile, relative_spread_percent, spread, spread_rows, value_rows

values = st.lists(st.floats(0.01, 1000), min_size=3, max_size=60)


@given(values, st.floats(0, 1))
def test_quantiles_are_those_of_numpy(found: list[float], share: float) -> None:
    """Source: numpy.quantile, method linear."""
    assert quantile(sorted(found), share) == pytest.approx(np.quantile(found, share), rel=1e-9)


@given(values)
def test_the_relative_spread_is_the_sample_deviation_over_the_mean(found: list[float]) -> None:
    """Source: the standard library's statistics module."""
    expected = 100 * statistics.stdev(found) / statistics.fmean(found)
    assert relative_spread_percent(found) == pytest.approx(expected, rel=1e-6, abs=1e-6)


def test_too_few_values_have_no_spread() -> None:
    assert spread([1.0, 2.0]) is None
    assert relative_spread_percent([1.0, 2.0]) is None
    assert relative_spread_percent([0.0, 0.0, 0.0]) is None


@given(st.lists(values, min_size=1, max_size=6))
def test_nothing_is_drawn_outside_the_chart(rows: list[list[float]]) -> None:
    drawn = spread_rows([("", "", spread(each), (0.1, 0.4)) for each in rows])
    for row in drawn:
        for span in (row.bar, row.thin, row.lane):
            assert span is not None
            start, width = span
            assert start >= 0
            assert start + width <= 100 + 1e-9


def test_the_longest_bar_fills_the_row_and_a_missing_value_draws_none() -> None:
    long, half, none = value_rows([("a", "", 20.0), ("b", "", 10.0), ("c", "", None)])
    assert (long.bar, half.bar, none.bar) == ((0, 100), (0, 50), None)
