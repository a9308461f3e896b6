"""Formulas of the metal balance, against worked values, published rows and weldx.

"Identity" is plain arithmetic on the stated inputs. The filler maker's rows are heat-S25.
"""

import math
import warnings
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from weldlog.engine.cross_check import BURN_OFF_SOFT_MM3_PER_A_S
from weldlog.engine.metal_balance import (
    DEPOSITION_EFFICIENCY,
    GrooveShape,
    burn_off_mm3_per_a_s,
    deposited_area_mm2,
    fillet_area_mm2,
    fillet_leg_mm,
    rod_area_mm2,
    rod_length_mm,
    segment_area_mm2,
    wire_area_mm2,
    wire_feed_for_current_mm_s,
    wire_feed_for_leg_mm_s,
)
from weldlog.engine.units import from_base, to_base

SPEED_MM_S = to_base(500, "mm/min")


# --- worked values


def test_heat_CV24_wire_area() -> None:  # identity
    assert wire_area_mm2(1.2) == pytest.approx(1.130973, rel=1e-6)


def test_heat_CV25_M1_deposited_area_and_its_leg() -> None:  # identity; 0.97 is common practice
    area = deposited_area_mm2(to_base(9, "m/min"), 1.2, SPEED_MM_S)
    assert area == pytest.approx(19.747, rel=1e-3)
    assert fillet_leg_mm(area) == pytest.approx(6.284, rel=1e-3)
    assert fillet_leg_mm(area, 0.15) == pytest.approx(5.860, rel=1e-3)


def test_heat_CV26_M2_wire_feed_for_a_leg() -> None:  # identity
    feed = wire_feed_for_leg_mm_s(5, 1.2, SPEED_MM_S)
    assert from_base(feed, "m/min") == pytest.approx(5.697, rel=1e-3)


@pytest.mark.parametrize(
    ("shape", "area_mm2"),
    [
        pytest.param(GrooveShape(6, 1.5, 60, 1.5), 20.6913, id="heat_CV27"),
        pytest.param(GrooveShape(6, 0, 60, 0), 20.7846, id="heat_CV28"),
        pytest.param(GrooveShape(3, 1.5), 4.5, id="heat_CV29"),
    ],
)
def test_groove_areas(shape: GrooveShape, area_mm2: float) -> None:  # weldx 0.8.2; identity
    assert shape.area_mm2 == pytest.approx(area_mm2, rel=1e-5)


@pytest.mark.parametrize(
    ("area_mm2", "feed_m_min", "wire_mm", "speed_mm_min"),
    [
        pytest.param(GrooveShape(3, 1.5).area_mm2, 8, 1.0, 1396.26, id="heat_CV29"),
        pytest.param(fillet_area_mm2(5, 5), 9, 1.2, 814.30, id="heat_CV30"),
    ],
)
def test_speed_at_which_a_wire_fills_an_area(  # weldx 0.8.2, which loses no wire
    area_mm2: float, feed_m_min: float, wire_mm: float, speed_mm_min: float
) -> None:
    feed, speed = to_base(feed_m_min, "m/min"), to_base(speed_mm_min, "mm/min")
    assert deposited_area_mm2(feed, wire_mm, speed, 1.0) == pytest.approx(area_mm2, rel=1e-5)


def test_heat_CV31_M5_fillet_areas() -> None:  # identity
    assert fillet_area_mm2(6, 6) == pytest.approx(18.0, rel=1e-4)
    assert fillet_area_mm2(6, 6, 1) == pytest.approx(23.719, rel=1e-4)


def test_heat_CV32_M3_rod_length() -> None:  # identity
    flat = fillet_area_mm2(3.2, 3.2)
    assert rod_length_mm(flat, 150, 2.4) == pytest.approx(169.77, rel=1e-4)
    assert rod_length_mm(1.15 * flat, 150, 2.4) == pytest.approx(195.23, rel=1e-4)


@pytest.mark.parametrize(
    ("burn_off", "m_min", "tolerance"),
    [(1.06, 11.25, 1e-3), (0.95, 10.1, 5e-3), (1.15, 12.2, 5e-3)],
)
def test_heat_CV33_M4_wire_feed_for_a_current(  # worked out from heat-S25
    burn_off: float, m_min: float, tolerance: float
) -> None:
    feed = wire_feed_for_current_mm_s(200, 1.2, burn_off)
    assert from_base(feed, "m/min") == pytest.approx(m_min, rel=tolerance)


# heat-S25: wire [mm], current [A], wire feed [m/min].
@pytest.mark.parametrize(
    ("wire_mm", "current_a", "feed_m_min"),
    [
        (0.8, 80, 11.7),
        (0.9, 130, 12.2),
        (1.2, 195, 10.9),
        (0.8, 100, 12.7),
        (0.9, 140, 14.7),
        (1.2, 190, 10.8),
        (1.6, 220, 7.2),
        (1.2, 210, 12.2),
        (1.6, 230, 7.6),
        (1.8, 280, 8.5),
    ],
)
def test_printed_settings_lie_in_the_burn_off_band(
    wire_mm: float, current_a: float, feed_m_min: float
) -> None:
    low, high = BURN_OFF_SOFT_MM3_PER_A_S
    assert low < burn_off_mm3_per_a_s(to_base(feed_m_min, "m/min"), wire_mm, current_a) < high


# Heat notes 4.3: V over burn-off and deposition efficiency, 15 to 30 J/mm³ for 17 to 28 V.
@given(st.floats(17, 28), st.floats(80, 280), st.floats(3, 20), st.sampled_from([0.9, 1.2, 1.6]))
def test_energy_for_a_volume_of_metal_does_not_depend_on_speed(
    volts: float, amps: float, speed: float, wire: float
) -> None:
    feed = wire_feed_for_current_mm_s(amps, wire, 1.06)
    arc_energy_j_mm = volts * amps / speed
    for_a_volume = arc_energy_j_mm / deposited_area_mm2(feed, wire, speed)
    assert for_a_volume == pytest.approx(volts / (1.06 * DEPOSITION_EFFICIENCY.value))
    assert 15 < for_a_volume < 30


# --- properties

LEGS, HEIGHTS, WIRES = st.floats(0.5, 30), st.floats(-10, 10), st.floats(0.5, 5)
SPEEDS, FEEDS = st.floats(0.5, 50), st.floats(5, 500)


@given(LEGS, WIRES, SPEEDS)
def test_the_wire_feed_for_a_leg_makes_that_leg(leg: float, wire: float, speed: float) -> None:
    feed = wire_feed_for_leg_mm_s(leg, wire, speed)
    assert fillet_leg_mm(deposited_area_mm2(feed, wire, speed)) == pytest.approx(leg)


@given(FEEDS, WIRES, st.floats(20, 500))
def test_the_wire_feed_for_a_current_burns_off_as_asked(
    feed: float, wire: float, amps: float
) -> None:
    burn_off = burn_off_mm3_per_a_s(feed, wire, amps)
    assert wire_feed_for_current_mm_s(amps, wire, burn_off) == pytest.approx(feed)


@given(LEGS, st.floats(10, 1000), WIRES)
def test_the_rod_for_a_weld_makes_that_weld(leg: float, length: float, rod: float) -> None:
    area = fillet_area_mm2(leg, leg)
    assert rod_area_mm2(rod_length_mm(area, length, rod), length, rod) == pytest.approx(area)


@given(FEEDS, WIRES, SPEEDS, st.floats(1.001, 3))
def test_more_wire_makes_more_metal_and_more_speed_less(
    feed: float, wire: float, speed: float, more: float
) -> None:
    area = deposited_area_mm2(feed, wire, speed)
    assert deposited_area_mm2(feed * more, wire, speed) > area
    assert deposited_area_mm2(feed, wire * more, speed) > area
    assert deposited_area_mm2(feed, wire, speed * more) < area


@given(st.floats(0.1, 50), st.floats(1e-6, 20))
def test_segment_lies_between_its_triangle_and_its_rectangle(chord: float, height: float) -> None:
    if height > chord / 2:  # beyond the half circle it bulges past the ends of its chord
        height = chord / 2
    area = segment_area_mm2(chord, height)
    assert chord * height / 2 < area < chord * height
    assert segment_area_mm2(chord, -height) == -area


def test_half_a_circle_is_half_a_circle() -> None:
    assert segment_area_mm2(2, 1) == pytest.approx(math.pi / 2)


@given(st.floats(1, 50))
def test_flat_and_round_segments_meet(chord: float) -> None:
    below, above = (segment_area_mm2(chord, chord / 1000 * each) for each in (0.999999, 1.000001))
    assert below == pytest.approx(above, rel=1e-5)


@given(LEGS, LEGS, HEIGHTS)
def test_the_order_of_the_legs_does_not_matter(one: float, other: float, height: float) -> None:
    assert fillet_area_mm2(one, other, height) == pytest.approx(fillet_area_mm2(other, one, height))


# --- weldx as an oracle: its own geometry and its own units


@cache
def weldx() -> Any:
    """Return weldx, whose plotting extras are not installed here; a second or two to import."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import weldx
        import weldx.welding.groove.iso_9692_1
        import weldx.welding.util
    return weldx


def weldx_groove(kind: str, **sizes: tuple[float, str]) -> Any:
    """Return a groove of weldx from sizes with their units."""
    quantities = {name: weldx().Q_(*size) for name, size in sizes.items()}
    return weldx().welding.groove.iso_9692_1.get_groove(groove_type=kind, **quantities)


def weldx_area_mm2(groove: Any) -> float:
    return float(groove.cross_sect_area.to("mm**2").magnitude)


def weldx_speed_mm_s(groove: Any, feed_mm_s: float, wire_mm: float) -> float:
    speed = weldx().welding.util.compute_welding_speed(
        groove, weldx().Q_(feed_mm_s, "mm/s"), weldx().Q_(wire_mm, "mm")
    )
    return float(speed.to("mm/s").magnitude)


few = settings(max_examples=12, deadline=None, derandomize=True)


@few
@given(st.floats(2, 25), st.floats(30, 90), st.floats(0, 4), st.floats(0, 0.9))
def test_weldx_agrees_on_v_grooves(thick: float, angle: float, gap: float, face: float) -> None:
    groove = weldx_groove(
        "VGroove",
        workpiece_thickness=(thick, "mm"),
        groove_angle=(angle, "deg"),
        root_gap=(gap, "mm"),
        root_face=(face * thick, "mm"),
    )
    shape = GrooveShape(thick, gap, angle, face * thick)
    assert shape.area_mm2 == pytest.approx(weldx_area_mm2(groove), rel=1e-9)


@few
@given(st.floats(1, 10), st.floats(0.5, 4), FEEDS, st.floats(0.8, 2.4))
def test_weldx_agrees_on_square_grooves_and_their_fill_speed(
    thick: float, gap: float, feed: float, wire: float
) -> None:
    groove = weldx_groove("IGroove", workpiece_thickness=(thick, "mm"), root_gap=(gap, "mm"))
    area = GrooveShape(thick, gap).area_mm2
    assert area == pytest.approx(weldx_area_mm2(groove), rel=1e-9)
    filled = deposited_area_mm2(feed, wire, weldx_speed_mm_s(groove, feed, wire), 1.0)
    assert filled == pytest.approx(area, rel=1e-9)


# A single bevel of 45 degrees without gap and face is the triangle of an equal-leg fillet.
@few
@given(st.floats(2, 20), FEEDS, st.floats(0.8, 2.4))
def test_weldx_agrees_on_fillets_and_their_fill_speed(leg: float, feed: float, wire: float) -> None:
    bevel = weldx_groove(
        "HVGroove",
        workpiece_thickness=(leg, "mm"),
        bevel_angle=(45, "deg"),
        root_gap=(0, "mm"),
        root_face=(0, "mm"),
    )
    assert fillet_area_mm2(leg, leg) == pytest.approx(weldx_area_mm2(bevel), rel=1e-9)
    made = deposited_area_mm2(feed, wire, weldx_speed_mm_s(bevel, feed, wire), 1.0)
    assert fillet_leg_mm(made) == pytest.approx(leg, rel=1e-9)
