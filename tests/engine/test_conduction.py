"""Heat flow formulas, against handbook examples and a numerical maximum.

The handbook examples are remembered (AWS Welding Handbook, 8th ed., vol. 1, ch. 3; Kalpakjian and
Schmid; Groover) and were recomputed; "H" numbers are the coupons of the heat notes, section 5.3.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import k0

from weldlog.engine import conduction
from weldlog.engine.conduction import ADAMS, Plate
from weldlog.engine.energy import arc_energy_from_averages

STEEL_5 = Plate(5, 0.028, 0.0044)
STEEL_6 = Plate(6, 0.028, 0.0044)
H1_J_MM = 0.9 * 20 * 200 / 5
H6 = Plate(3.2, 0.167, 2.419e-3)
H6_W = 0.6 * 135 * 14


def half_width_mm(temperature_c: float) -> float:
    """Return half the width of an isotherm of coupon H6, by searching behind the arc."""

    def hottest_c(beside_mm: float) -> float:
        return max(
            conduction.thin_plate_c(H6, H6_W, 5, -behind / 4, beside_mm) for behind in range(400)
        )

    low, high = 1.0, 100.0
    for _ in range(20):
        middle = (low + high) / 2
        low, high = (middle, high) if hottest_c(middle) > temperature_c else (low, middle)
    return low


def test_the_factor_of_adams_is_printed_as_4_13() -> None:
    assert round(ADAMS, 2) == 4.13
    assert pytest.approx(2 / (math.pi * math.e), abs=5e-5) == 0.2342


# AWS Welding Handbook, from memory.
@pytest.mark.parametrize(("beside_mm", "peak_c"), [(1.5, 1184), (3.0, 976)])
def test_heat_CV37_H1_peak_beside_a_weld(beside_mm: float, peak_c: float) -> None:
    assert conduction.peak_c(STEEL_5, H1_J_MM, beside_mm, 1510) == pytest.approx(peak_c, abs=1)


# AWS Welding Handbook, from memory.
@pytest.mark.parametrize(("peak_c", "beside_mm"), [(730, 5.90), (430, 14.23)])
def test_heat_CV38_H2_distance_of_a_peak(peak_c: float, beside_mm: float) -> None:
    found = conduction.distance_mm(STEEL_5, H1_J_MM, peak_c, 1510)
    assert found == pytest.approx(beside_mm, abs=0.05)


# AWS Welding Handbook, from memory: all three are the thin-plate case.
@pytest.mark.parametrize(
    ("speed_mm_s", "rate_k_s", "tau"), [(9, 7.17, 0.333), (8, 5.66, 0.31), (7, 4.34, 0.29)]
)
def test_heat_CV39_H3_cooling_rate(speed_mm_s: float, rate_k_s: float, tau: float) -> None:
    heat = 0.9 * 25 * 300 / speed_mm_s
    assert conduction.cooling_rate_k_s(STEEL_6, heat, 550) == pytest.approx(rate_k_s, rel=1e-2)
    assert conduction.relative_thickness(STEEL_6, heat, 550) == pytest.approx(tau, rel=2e-2)


# Constants of heat-S51, its conductivity in W/(mm K).
@pytest.mark.parametrize(
    ("point", "temperature_c"), [((-10, 0, 1), 460.2), ((0, 5, 1), 641.4), ((0, 10, 1), 393.3)]
)
def test_heat_CV40_H5_thick_plate(point: tuple[float, float, float], temperature_c: float) -> None:
    plate = Plate(25, 0.2042, 0.2042 / 84.18, start_c=200)
    found = conduction.thick_plate_c(plate, 0.84 * 20 * 200, 5, point)
    assert found == pytest.approx(temperature_c, abs=0.2)


@pytest.mark.parametrize(("temperature_c", "half_mm"), [(250, 27.05), (582, 6.74)])
def test_heat_CV41_H6_width_of_an_isotherm(temperature_c: float, half_mm: float) -> None:
    assert half_width_mm(temperature_c) == pytest.approx(half_mm, abs=0.1)  # numerical maximum


def test_heat_H6_adams_stays_within_a_tenth_of_the_exact_width() -> None:
    exact = half_width_mm(250) - half_width_mm(582)
    adams = conduction.distance_mm(H6, H6_W / 5, 250, 582)
    assert exact == pytest.approx(20.3, abs=0.1)
    assert adams == pytest.approx(18.8, abs=0.05)


def test_heat_CV42_H7_bulk_rise() -> None:  # identity
    assert conduction.bulk_rise_k(0.6 * 56.7, 150 * 150 * 3.2) == pytest.approx(195.3, rel=1e-3)


def test_heat_CV43_diffusivity() -> None:  # heat-S38 and heat-S41, 6061-T6
    plate = Plate(3.2, 0.1662, 2713e-9 * 896)
    assert plate.diffusivity_mm2_s == pytest.approx(68.4, rel=1e-2)


def test_aluminum_coupons_are_the_thin_plate_case() -> None:  # below 0.6, AWS WHB, from memory
    for thickness, amps, volts, mm_min in ((1.6, 70, 13, 400), (3.2, 135, 14, 300)):
        heat = 600 * arc_energy_from_averages(volts, amps, mm_min / 60)
        assert conduction.relative_thickness(Plate(thickness), heat, 300) < 0.6


# Heat notes 5.5: 12.5 to 25.0 mm for coupon H6; no single figure is ever given.
def test_soft_band_spans_the_share_of_heat_that_may_reach_the_metal() -> None:
    assert conduction.softened_band_mm(0.378, 3.2) == pytest.approx((12.5, 25.0), abs=0.05)


@given(st.floats(0.06, 2), st.floats(0.8, 6.4), st.floats(1.01, 3))
def test_soft_band_grows_with_energy_and_shrinks_with_thickness(
    energy: float, thickness: float, more: float
) -> None:
    low, high = conduction.softened_band_mm(energy, thickness)
    assert 0 < low < high
    assert conduction.softened_band_mm(energy * more, thickness) > (low, high)
    assert conduction.softened_band_mm(energy, thickness * more) < (low, high)


def test_heat_CV34_W7_bead_area() -> None:  # question in heat-S11
    area = conduction.melted_area_mm2(40 * 400, 4, 20, 0.8, 0.3)
    assert area == pytest.approx(48, rel=1e-6)


@pytest.mark.parametrize(
    ("volts", "amps", "share", "area_mm2", "j_mm3", "speed_mm_s", "tolerance"),
    [
        pytest.param(30, 100, 0.7, 20, 14, 7.50, 1e-6, id="heat_CV35_W8"),  # heat-S11
        pytest.param(20, 200, 0.75, 30, 2.9, 34.48, 1e-3, id="heat_CV36_M6"),  # Kalpakjian, memory
    ],
)
def test_speed_at_which_an_area_melts(
    volts: float,
    amps: float,
    share: float,
    area_mm2: float,
    j_mm3: float,
    speed_mm_s: float,
    tolerance: float,
) -> None:
    # Area and speed stand for each other in the formula.
    speed = conduction.melted_area_mm2(volts * amps, area_mm2, j_mm3, share)
    assert speed == pytest.approx(speed_mm_s, rel=tolerance)


def test_heat_M7_volume_melted_in_a_second() -> None:  # Groover, from memory: 210 mm³/s
    volume = conduction.melted_area_mm2(300 * 20, 1, 10, 0.7, 0.5)
    assert volume == pytest.approx(210)


@given(st.floats(1e-6, 300))
def test_scipy_agrees_on_the_bessel_function(x: float) -> None:
    assert conduction.bessel_k0(x) == pytest.approx(k0(x), rel=1e-10)


@given(st.floats(0.1, 60), st.floats(100, 500))
def test_distance_and_peak_are_each_other_turned_around(beside: float, heat: float) -> None:
    peak = conduction.peak_c(H6, heat, beside, 582)
    assert 25 < peak < 582
    assert conduction.distance_mm(H6, heat, peak, 582) == pytest.approx(beside)
