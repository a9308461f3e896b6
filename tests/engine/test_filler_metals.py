"""The filler metals: their table, and how a typed designation names one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldlog.engine.filler_metals import FILLERS, FillerMetal, find
from weldlog.engine.sources import source


def test_there_are_20_fillers_and_each_is_found_by_its_own_name() -> None:
    assert len(FILLERS) == 20
    assert all(find(name) is metal for name, metal in FILLERS.items())


@pytest.mark.parametrize("typed", ["5356", "ER5356", "R5356", "er 5356", "ER-5356", "S Al 5356"])
def test_a_filler_is_found_with_and_without_its_prefix(typed: str) -> None:
    metal = find(typed)
    assert metal
    assert metal.designation == "5356"


@pytest.mark.parametrize("typed", ["", "70S-6", "ER", "6061", "53565", "steel"])
def test_what_is_not_in_the_table_is_not_guessed(typed: str) -> None:
    assert find(typed) is None


@pytest.mark.parametrize("metal", FILLERS.values(), ids=lambda metal: metal.designation)
def test_nominal_contents_lie_within_the_limits(metal: FillerMetal) -> None:
    for element in ("si", "mg", "cu", "zn", "mn"):
        limit, content = metal.limits.get(element), getattr(metal.nominal, element)
        if limit and content:
            assert (limit.low or 0.0) <= content <= (limit.high or 0.0), element


@pytest.mark.parametrize("metal", FILLERS.values(), ids=lambda metal: metal.designation)
def test_every_value_says_where_it_comes_from(metal: FillerMetal) -> None:
    assert {"limits", "nominal", "use", "density", "color"} <= metal.sources.keys()
    assert ("melting" in metal.sources) == (metal.solidus_c is not None)
    assert all(source(key).title for keys in metal.sources.values() for key in keys)


@given(
    st.sampled_from(sorted(FILLERS)),
    st.sampled_from(["", "ER", "R", "er-", "ER ", "S Al ", "s al "]),
    st.booleans(),
    st.text(" \t", max_size=3),
)
def test_prefix_spaces_and_case_do_not_matter(
    name: str, before: str, lower: bool, space: str
) -> None:
    typed = f"{space}{before}{name}{space}"
    metal = find(typed.lower() if lower else typed)
    assert metal
    assert metal.designation == name


@given(st.text(max_size=30))
def test_any_text_is_a_filler_or_none(typed: str) -> None:
    metal = find(typed)
    assert metal is None or metal.designation in typed.upper()
