"""Agreement of graders, held against tables with known answers and a statistics library."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.inter_rater import cohens_kappa

from coursework.agreement import (
    Agreement,
    Kappa,
    Table,
    agreement,
    linear_weight,
    no_weight,
    quadratic_weight,
    tabulate,
    weighted_kappa,
)

# prep_C39, calculated there: agreement 74 %, kappa 0.640 (0.47 to 0.81), linear 0.757,
# quadratic 0.863.
FIFTY = [[6, 2, 0, 0], [1, 9, 3, 0], [0, 2, 14, 2], [0, 0, 3, 8]]
# prep_C40, calculated there, after the paradox that prep-S55 describes.
PARADOX = [[46, 2], [2, 0]]
tables = st.lists(
    st.lists(st.integers(0, 20), min_size=4, max_size=4), min_size=4, max_size=4
).filter(lambda table: sum(map(sum, table)) > 0)


def found(table: Table) -> Agreement:
    result = agreement(table)
    assert result
    return result


def value(kappa: Kappa | None) -> float:
    assert kappa
    return kappa.value


def test_prep_c39_the_worked_table() -> None:
    result = found(FIFTY)
    assert result.coupons == 50
    assert result.percent == pytest.approx(74)
    assert value(result.kappa) == pytest.approx(0.640, abs=5e-4)
    assert value(result.linear) == pytest.approx(0.757, abs=5e-4)
    assert value(result.quadratic) == pytest.approx(0.863, abs=5e-4)
    assert result.kappa
    assert (result.kappa.low, result.kappa.high) == pytest.approx((0.47, 0.81), abs=5e-3)
    assert result.warnings() == []


def test_prep_c40_a_rare_level_makes_kappa_low_and_is_said() -> None:
    result = found(PARADOX)
    assert result.percent == pytest.approx(92)
    assert value(result.kappa) == pytest.approx(-0.042, abs=5e-4)
    assert "Nearly all coupons got the same level" in " ".join(result.warnings())


def test_few_coupons_are_said() -> None:
    assert "Only 2 coupons" in found(tabulate([(3, 3), (2, 3)])).warnings()[0]


def test_without_a_shared_coupon_there_is_nothing_to_say() -> None:
    assert agreement(tabulate([])) is None


def test_where_everybody_gives_one_level_kappa_is_not_defined() -> None:
    result = found(tabulate([(3, 3)] * 40))
    assert result.percent == pytest.approx(100)
    assert (result.kappa, result.linear, result.quadratic) == (None, None, None)


@given(tables)
def test_it_is_what_a_statistics_library_says(table: list[list[int]]) -> None:
    """Source: statsmodels, ``cohens_kappa``; it calls the quadratic weights ``fc``."""
    for ours, theirs in ((no_weight, None), (linear_weight, "linear"), (quadratic_weight, "fc")):
        kappa = weighted_kappa(table, ours)
        if kappa is None:
            continue
        library = cohens_kappa(np.array(table, dtype=float), wt=theirs)
        assert kappa.value == pytest.approx(library.kappa, abs=1e-9)
        # Rounding may leave the variance of a perfect agreement a hair below zero.
        if library.var_kappa > 1e-12:
            ends = max(-1.0, library.kappa_low), min(1.0, library.kappa_upp)
            assert (kappa.low, kappa.high) == pytest.approx(ends, abs=1e-6)


@given(tables)
def test_it_does_not_matter_who_is_called_the_first(table: list[list[int]]) -> None:
    turned = [list(column) for column in zip(*table, strict=True)]
    for weight in (no_weight, linear_weight, quadratic_weight):
        one, other = weighted_kappa(table, weight), weighted_kappa(turned, weight)
        assert (one is None) == (other is None)
        if one and other:
            assert one.value == pytest.approx(other.value)
