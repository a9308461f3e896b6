"""Starting ranges, against the tables that they were drawn from."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldlog.engine.facts import read
from weldlog.engine.review import review
from weldlog.engine.setup_guide import Range, starting_ranges
from weldlog.engine.sources import SOURCES
from weldlog.engine.units import to_base


def test_a_row_of_the_table_is_given_as_it_stands() -> None:
    # heat-S19 to heat-S22, 3.2 mm butt: 125 to 145 and 125 to 150 A, 2.4 to 3.2 mm rod
    found = starting_ranges("GTAW", "square_groove", 3.2)
    assert found is not None
    assert found.current_a == Range(125, 150)
    assert found.filler_diameter_mm == Range(2.4, 3.2)
    assert set(found.sources) <= set(SOURCES)


def test_between_two_rows_lies_a_straight_line() -> None:
    # Halfway between 3.2 mm (125 to 160 A) and 4.8 mm (190 to 240 A)
    found = starting_ranges("GTAW", "fillet", 4.0)
    assert found is not None
    assert found.current_a is not None
    assert found.current_a.low == pytest.approx(157.5)
    assert found.current_a.high == pytest.approx(200)
    assert found.filler_diameter_mm == Range(2.4, 3.2)


def test_alcotec_row_lies_inside_the_line_through_its_neighbors() -> None:
    # heat-S25, 5 mm fillet, 1.2 mm wire: 190 A, 21 to 23 V, 560 mm/min
    found = starting_ranges("GMAW", "fillet", 5)
    assert found is not None
    assert found.current_a is not None
    assert found.current_a.low <= 190 <= found.current_a.high
    assert found.travel_speed_mm_s is not None
    speed = to_base(560, "mm/min")
    assert found.travel_speed_mm_s.low <= speed <= found.travel_speed_mm_s.high


@pytest.mark.parametrize(
    ("process", "thickness_mm"), [("GTAW", 1.5), ("GTAW", 6.5), ("GMAW", 1.9), ("GMAW", 6.1)]
)
def test_outside_the_table_nothing_is_proposed(process: str, thickness_mm: float) -> None:
    assert starting_ranges(process, "square_groove", thickness_mm) is None  # type: ignore[arg-type]


def test_what_no_source_prints_stays_open() -> None:
    found = starting_ranges("GMAW", "fillet", 12)
    assert found is not None
    assert found.gas_flow_l_min is None
    assert found.tungsten_diameter_mm is None


@given(st.sampled_from(["fillet", "square_groove"]), st.floats(1.6, 6.4), st.floats(0, 1))
def test_gtaw_starting_currents_are_never_questioned(
    weld: str, thickness_mm: float, share: float
) -> None:
    found = starting_ranges("GTAW", weld, thickness_mm)  # type: ignore[arg-type]
    assert found is not None
    assert found.current_a is not None
    current = found.current_a.low + share * (found.current_a.high - found.current_a.low)
    plate = {"base_metals": [{"thickness_mm": thickness_mm}], "current_a": current}
    said = review(read({"process": "GTAW", **plate})).findings
    assert [each.rule.id for each in said if each.rule.id.startswith("entry-")] == []
