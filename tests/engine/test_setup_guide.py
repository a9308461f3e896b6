"""Starting ranges, against the tables that they were drawn from."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldlog.engine.facts import read
from weldlog.engine.review import review
from weldlog.engine.setup_guide import MEMBERS, Range, starting_ranges, thicknesses_mm
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
    ("process", "thickness_mm"), [("GTAW", 0.7), ("GTAW", 6.5), ("GMAW", 1.9), ("GMAW", 12.6)]
)
def test_outside_the_table_nothing_is_proposed(process: Any, thickness_mm: float) -> None:
    assert starting_ranges(process, "square_groove", thickness_mm) is None


# Process, weld, thickness [mm], member, low, high, unit, sources: as the sources print them.
PRINTED = [
    ("GTAW", "square_groove", 0.8, "current_a", 55, 55, "A", "heat-S24"),
    ("GTAW", "square_groove", 1.2, "current_a", 100, 100, "A", "heat-S24"),
    ("GTAW", "square_groove", 1.6, "current_a", 60, 85, "A", "heat-S19 heat-S20 heat-S21"),
    ("GTAW", "fillet", 1.6, "current_a", 60, 95, "A", "heat-S19 heat-S20 heat-S21"),
    ("GTAW", "fillet", 6.0, "current_a", 250, 320, "A", "heat-S19 heat-S20 heat-S21 heat-S24"),
    ("GTAW", "square_groove", 0.8, "gas_flow_l_min", 3.4, 4.5, "L/min", "heat-S24"),
    ("GTAW", "square_groove", 1.6, "travel_speed_mm_s", 400, 400, "mm/min", "heat-S19"),
    ("GTAW", "square_groove", 3.2, "voltage_v", 10, 18, "V", "practice"),
    ("GTAW", "fillet", 3.2, "tungsten_diameter_mm", 2.4, 3.2, "mm", "heat-S19 heat-S20 heat-S21"),
    ("GMAW", "square_groove", 2, "current_a", 70, 110, "A", "heat-S25 heat-S26"),
    ("GMAW", "square_groove", 2, "wire_feed_mm_s", 11.7, 11.7, "m/min", "heat-S25"),
    ("GMAW", "fillet", 3, "wire_feed_mm_s", 14.7, 14.7, "m/min", "heat-S25"),
    ("GMAW", "fillet", 5, "wire_feed_mm_s", 7.2, 10.8, "m/min", "heat-S25"),
    ("GMAW", "fillet", 5, "current_a", 190, 220, "A", "heat-S25"),
    ("GMAW", "fillet", 12, "current_a", 280, 280, "A", "heat-S25"),
    ("GMAW", "v_groove", 12.5, "current_a", 225, 260, "A", "heat-S24"),
    ("GMAW", "square_groove", 3, "gas_flow_l_min", 14, 20, "L/min", "heat-S26 heat-S27"),
    ("GMAW", "fillet", 6, "nozzle_to_work_mm", 13, 16, "mm", "prep-S4"),
]


@pytest.mark.parametrize(
    ("process", "weld", "thickness_mm", "member", "low", "high", "unit", "keys"), PRINTED
)
def test_each_value_stands_as_printed_with_its_sources(
    process: Any, weld: Any, thickness_mm: float, member: str, low: float, high: float,
    unit: str, keys: str,
) -> None:  # fmt: skip
    found = getattr(starting_ranges(process, weld, thickness_mm), member)
    assert found.low == pytest.approx(to_base(low, unit))
    assert found.high == pytest.approx(to_base(high, unit))
    assert found.sources == tuple(keys.split())
    assert not found.between


def test_doubtful_travel_of_a_fillet_says_so_and_practice_is_called_practice() -> None:
    # heat-S24, Table 6.3: the alignment of the travel of the fillets is doubtful
    found = starting_ranges("GTAW", "fillet", 3.2)
    assert found is not None
    assert found.travel_speed_mm_s is not None
    assert found.voltage_v is not None
    assert found.travel_speed_mm_s.notes
    assert (found.travel_speed_mm_s.standing, found.voltage_v.standing) == ("read", "practice")


def test_where_the_rows_of_one_member_end_it_stays_open() -> None:
    # Thinnest fillet of heat-S19 to heat-S22: 1.6 mm; gas of GMAW: heat-S26, heat-S27, to 6.4 mm
    thin, thick = starting_ranges("GTAW", "fillet", 1.2), starting_ranges("GMAW", "v_groove", 9)
    assert thin is not None
    assert thick is not None
    assert thin.current_a is thin.tungsten_diameter_mm is None
    assert thin.gas_flow_l_min is not None
    assert thick.gas_flow_l_min is thick.wire_feed_mm_s is None
    assert thick.current_a is not None
    assert thick.current_a.between


@pytest.mark.parametrize("process", ["GTAW", "GMAW"])
@pytest.mark.parametrize("weld", ["fillet", "square_groove"])
def test_every_printed_thickness_has_values_and_every_value_a_source(
    process: Any, weld: Any
) -> None:
    for thickness_mm in thicknesses_mm(process, weld):
        found = starting_ranges(process, weld, thickness_mm)
        assert found is not None
        said = [each for name in MEMBERS if (each := getattr(found, name)) is not None]
        assert said
        assert all(each.low <= each.high and each.sources for each in said)
        assert {key for each in said for key in each.sources} == set(found.sources)


@given(st.floats(0.8, 12.5), st.sampled_from([("GTAW", "fillet"), ("GMAW", "v_groove")]))
def test_between_two_rows_nothing_leaves_what_the_rows_span(
    thickness_mm: float, kind: tuple[Any, Any]
) -> None:
    found = starting_ranges(*kind, thickness_mm)
    for name in MEMBERS if found else ():
        said = getattr(found, name)
        rows = [starting_ranges(*kind, each) for each in thicknesses_mm(*kind)]
        printed = [each for row in rows if (each := getattr(row, name))]
        if said:
            assert min(each.low for each in printed) <= said.low + 1e-9
            assert said.high <= max(each.high for each in printed) + 1e-9


def test_what_no_source_prints_stays_open() -> None:
    found = starting_ranges("GMAW", "fillet", 12)
    assert found is not None
    assert found.gas_flow_l_min is None
    assert found.tungsten_diameter_mm is None


@given(st.sampled_from(["fillet", "square_groove"]), st.floats(0.8, 6.4), st.floats(0, 1))
def test_gtaw_starting_currents_are_never_questioned(
    weld: Any, thickness_mm: float, share: float
) -> None:
    found = starting_ranges("GTAW", weld, thickness_mm)
    assert found is not None
    if found.current_a is None:  # no source speaks of fillets that thin
        assert (weld, thickness_mm < 1.6) == ("fillet", True)
        return
    current = found.current_a.low + share * (found.current_a.high - found.current_a.low)
    plate = {"base_metals": [{"thickness_mm": thickness_mm}], "current_a": current}
    said = review(read({"process": "GTAW", **plate})).findings
    assert [each.rule.id for each in said if each.rule.id.startswith("entry-")] == []
