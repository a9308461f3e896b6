"""Entries that do not fit together: energies, currents, runs, and what a process does not have.

All hold against ``tests/contract/examples/fillet-clean.json``, which is asked about nothing.
"""

from typing import Any

import pytest

from tests.engine.contract import example
from weldlog.engine.facts import read
from weldlog.engine.findings import Finding
from weldlog.engine.review import review

CLEAN = example("fillet-clean")  # 135 A, 14 V, 30 s: 56.7 kJ and 1.89 kW


def asked(**members: Any) -> dict[str, Finding]:
    """Return what is asked about the entries of the clean coupon with these members."""
    found = review(read(CLEAN | members)).findings
    return {each.rule.id: each for each in found if each.rule.id.startswith("entry-")}


def said(rule: str, **members: Any) -> str:
    """Return the sentence of a rule, with plain spaces."""
    return asked(**members)[rule].says.replace("\u00a0", " ")


# heat-S7: volts times amps may be off by up to 30 % where the current pulses; read.
@pytest.mark.parametrize(
    ("members", "rule"),
    [
        ({"arc_energy_kj": 56.7}, None),
        ({"arc_energy_kj": 56.7 * 1.29}, None),
        ({"arc_energy_kj": 56.7 * 1.31}, "entry-energy-disagrees"),
        ({"arc_energy_kj": 56.7 * 0.69}, "entry-energy-disagrees"),
        ({"mean_power_kw": 1.89 * 0.71}, None),
        ({"mean_power_kw": 1.89 * 0.69}, "entry-power-disagrees"),
        ({"arc_energy_kj": 56.7, "mean_power_kw": 1.89 / 1.04}, None),
        ({"arc_energy_kj": 56.7, "mean_power_kw": 1.89 / 1.06}, "entry-energy-and-power"),
        ({"arc_energy_kj": 120, "voltage_read": "assumed"}, None),
        ({"arc_energy_kj": 120, "mean_power_kw": 4}, "entry-energy-disagrees"),
    ],
)
def test_readings_are_held_against_each_other_once(
    members: dict[str, Any], rule: str | None
) -> None:
    assert list(asked(**members)) == ([rule] if rule else [])


@pytest.mark.parametrize(("factor", "severity"), [(1.06, "warn"), (1.19, "warn"), (1.21, "stop")])
def test_energy_and_power_of_one_machine_agree_closely(factor: float, severity: str) -> None:
    found = asked(arc_energy_kj=factor * 56.7, mean_power_kw=1.89)
    assert found["entry-energy-and-power"].severity == severity


def test_energy_of_a_run_is_named_by_its_place() -> None:
    run = {"current_a": 135, "voltage_v": 14, "arc_time_s": 30}
    found = asked(run_list=[run, run | {"arc_energy_kj": 120}])
    assert found["entry-energy-disagrees"].fields[0] == "run_list[1].arc_energy_kj"


@pytest.mark.parametrize(
    ("current_a", "en_a", "ep_a", "is_asked"),
    [(200, 120, 120, True), (180, 180, 120, False), (162, 180, 120, False), (100, 180, 120, True)],
)  # common practice, no source: machines show the mean, the RMS or one of the halves
def test_a_current_that_its_halves_cannot_make_up_is_asked_about(
    current_a: float, en_a: float, ep_a: float, is_asked: bool
) -> None:
    halves = {"en_percent": 70, "en_current_a": en_a, "ep_current_a": ep_a}
    assert set(asked(current_a=current_a, ac=halves)) == (
        {"entry-current-and-halves"} if is_asked else set()
    )


def test_a_share_that_was_typed_as_a_fraction_is_taken_for_one() -> None:
    (found,) = asked(ac={"en_percent": 0.7}).values()
    assert found.suggestion is not None
    assert found.suggestion["value"] == pytest.approx(70)
    assert "did you mean 70 %?" in said("entry-en-fraction", ac={"en_percent": 0.7})


def test_minutes_with_a_point_may_be_those_of_a_watch() -> None:
    sentence = said("entry-travel-speed", arc_time_s=1.33)
    assert "1.33 min, which is 79.8 s, or 1:33, which is 93 s?" in sentence
    assert "or 0:" not in said("entry-travel-speed", arc_time_s=0.5)


def test_no_weld_of_three_meters_is_suggested() -> None:
    coupon = {"process": "GMAW", "weld_length_mm": 300, "arc_time_s": 150}
    (found,) = review(read(coupon)).findings
    assert (found.rule.id, found.suggestion) == ("entry-travel-speed", None)


def test_a_hot_preheat_asks_for_fahrenheit() -> None:
    assert "Did you mean 300 °F, which is 149 °C?" in said("entry-temperature", preheat_c=300)


# heat notes 3.3 and common practice, no source: above 6.5 mm the rule of thumb asks for too much,
# and a current that is too small is where cold laps begin.
@pytest.mark.parametrize(
    ("thickness_mm", "current_a", "is_asked"),
    [(6.4, 100, True), (6.6, 100, True), (6.6, 160, False), (12, 350, False)],
)
def test_thick_plate_with_little_current_is_asked_about(
    thickness_mm: float, current_a: float, is_asked: bool
) -> None:
    plate = {"base_metals": [{"thickness_mm": thickness_mm}], "current_a": current_a}
    found = review(read({"process": "GTAW", **plate})).findings
    assert ("entry-current-for-thickness" in {each.rule.id for each in found}) is is_asked


# heat-S24 to S27 print 70 to 110 A on 2 mm, 180 to 230 A on 6 mm; widened to 0.7 to 1.4 times.
@pytest.mark.parametrize(
    ("thickness_mm", "current_a", "is_asked"),
    [
        (2, 160, True),
        (2, 110, False),
        (3, 80, True),
        (6, 110, True),
        (6, 180, False),
        (12, 150, True),
        (19, 300, False),
        (25, 280, False),
    ],
)
def test_gmaw_current_is_held_against_the_thickness(
    thickness_mm: float, current_a: float, is_asked: bool
) -> None:
    plate = {"base_metals": [{"thickness_mm": thickness_mm}], "current_a": current_a}
    found = {each.rule.id for each in review(read({"process": "GMAW", **plate})).findings}
    assert ("entry-gmaw-current-for-thickness" in found) is is_asked
    assert "entry-thickness" not in found


def test_a_current_that_no_machine_gives_is_held_against_the_thickness() -> None:
    assert "About 76 to 202 A is usual" in said("entry-current", current_a=1350)


def test_no_gas_is_said_in_words() -> None:
    assert "no gas at all" in said("entry-gas-flow", gas_flow_l_min=0)
