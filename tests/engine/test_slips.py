"""Slips of a unit: how often the first suggestion is the right one, over a grid of true values.

The true values are those of the printed settings (heat-S19 to S28) and of a school shop, in the
unit in which each is said; each is typed into a field that reads another unit.
"""

import math
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.cases_entry import GMAW, GTAW
from weldlog.engine.facts import Process, read
from weldlog.engine.findings import Finding
from weldlog.engine.plausibility import band
from weldlog.engine.review import review
from weldlog.engine.slips import SLIPS, digits, explain, question
from weldlog.engine.units import UNITS, from_base, to_base

PROCESSES: tuple[Process, ...] = ("GTAW", "GMAW")
LEAST_RIGHT = 0.9

# By process and member: what is true, in the unit in which it is said.
TRUE: dict[tuple[Process, str], dict[str, list[float]]] = {
    ("GTAW", "travel_speed_mm_s"): {
        "mm/min": [*range(80, 420, 20)],
        "in/min": [*range(3, 17)],
        "mm/s": [1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 6.5],
        "cm/min": [*range(8, 42, 2)],
    },
    ("GMAW", "travel_speed_mm_s"): {
        "mm/min": [*range(300, 1150, 50)],
        "in/min": [*range(12, 46, 2)],
        "mm/s": [5, 6, 7, 8, 9, 10, 11, 12, 13, 15, 17, 18],
        "cm/min": [*range(30, 115, 5)],
    },
    ("GMAW", "wire_feed_mm_s"): {
        "m/min": [half / 2 for half in range(9, 38)],
        "in/min": [*range(180, 760, 20)],
        "mm/s": [*range(80, 320, 10)],
    },
    ("GTAW", "gas_flow_l_min"): {"L/min": [*range(5, 15)], "ft3/h": [*range(10, 31)]},
    ("GMAW", "gas_flow_l_min"): {"L/min": [*range(12, 29)], "ft3/h": [*range(25, 61, 5)]},
    ("GTAW", "base_metals.thickness_mm"): {
        "mm": [1, 1.2, 1.5, 1.6, 2, 2.5, 3, 3.2, 4, 4.8, 5, 6, 6.4, 8, 10, 12, 12.5],
        "in": [0.032, 0.04, 0.05, 0.063, 0.08, 0.09, 0.1, 0.125, 0.1875, 0.19, 0.25, 0.375, 0.5],
        "0.001 in": [32, 40, 50, 63, 80, 90, 125, 190, 250, 375, 500],
    },
    ("GTAW", "filler.diameter_mm"): {
        "mm": [1.2, 1.6, 2, 2.4, 3.2, 4, 4.8],
        "in": [0.045, 0.0625, 0.094, 0.09375, 0.125, 0.1563, 0.1875],
        "0.001 in": [45, 63, 94, 125, 156, 188],
    },
    ("GMAW", "filler.diameter_mm"): {
        "mm": [0.8, 0.9, 1, 1.2, 1.6, 2.4],
        "in": [0.03, 0.035, 0.04, 0.047, 0.0469, 0.0625, 0.063, 0.094],
        "0.001 in": [30, 35, 40, 47, 63, 94],
    },
    ("GTAW", "tungsten.diameter_mm"): {
        "mm": [1, 1.6, 2, 2.4, 3.2, 4, 4.8],
        "in": [0.04, 0.0625, 0.094, 0.125, 0.156, 0.1875],
        "0.001 in": [40, 63, 94, 125, 156, 188],
    },
    ("GTAW", "arc_energy_kj"): {"kJ": [20, 34, 42, 56.7, 80, 120], "J": [20000, 42000, 56700]},
    ("GTAW", "mean_power_kw"): {"kW": [0.8, 1.2, 1.6, 1.9, 2.5, 4], "W": [800, 1600, 1900, 4000]},
    ("GMAW", "mean_power_kw"): {"kW": [1.9, 2.5, 4, 5.5], "W": [1900, 2500, 4000, 5500]},
    ("GTAW", "preheat_c"): {"°C": [50, 80, 100], "°F": [120, 150, 175, 200, 225, 250]},
    ("GTAW", "air_c"): {"°C": [*range(12, 32, 2)], "°F": [*range(55, 90, 5)]},
    ("GTAW", "fillet.leg_1_mm"): {
        "mm": [3, 3.5, 4, 5, 6, 8],
        "in": [0.125, 0.1875, 0.25, 0.3125, 0.375],
    },
}
READ_AS = {slip.read_as for slips in SLIPS.values() for slip in slips}


def typed_wrongly() -> Iterator[tuple[Process, str, str, str, float]]:
    """Return process, member, the unit that was meant, the one that was read, and the digits."""
    for (process, member), said in TRUE.items():
        for meant, numbers in said.items():
            for read_as in said.keys() & READ_AS - {meant}:
                for number in numbers:
                    yield process, member, meant, read_as, number


def outcome(process: Process, member: str, meant: str, read_as: str, number: float) -> str:
    """Return what becomes of one slip: hidden, right, wrong or none."""
    usual = band(process, member)
    assert usual is not None
    true, logged = to_base(number, meant), to_base(number, read_as)
    assert usual.is_usual(true), "the true value itself would be questioned"
    if usual.is_usual(logged):
        return "hidden"
    found = explain(usual, member, member, logged)
    if found is None:
        return "none"
    return "right" if math.isclose(found.value, true, rel_tol=1e-6) else "wrong"


def test_the_first_suggestion_is_nearly_always_the_right_one() -> None:
    count = Counter(outcome(*each) for each in typed_wrongly())
    seen = count["right"] + count["wrong"] + count["none"]
    rate = count["right"] / seen
    assert seen > 500
    assert rate >= LEAST_RIGHT, count
    assert count["none"] == 0


# What the digits cannot tell: 5 mm/s from 5 in/min, and 10 cm/min from 10 in/min.
AMBIGUOUS = {("mm/s", "mm/min"), ("cm/min", "mm/min"), ("cm/min", "mm/s"), ("mm/s", "m/min")}


@pytest.mark.parametrize(("process", "member"), TRUE, ids=lambda each: each)
def test_a_slip_between_the_units_of_a_form_is_always_named(process: Process, member: str) -> None:
    for each in typed_wrongly():
        if each[:2] == (process, member) and (each[2], each[3]) not in AMBIGUOUS:
            assert outcome(*each) in ("right", "hidden"), each


# --- slips that shop talk makes likely, one by one


@pytest.mark.parametrize(
    ("process", "member", "number", "read_as", "meant"),
    [
        ("GMAW", "wire_feed_mm_s", 12.2, "in/min", "m/min"),  # heat-S25 row, 3 mm butt
        ("GMAW", "wire_feed_mm_s", 425, "m/min", "in/min"),
        ("GMAW", "filler.diameter_mm", 35, "mm", "0.001 in"),
        ("GMAW", "filler.diameter_mm", 35, "in", "0.001 in"),
        ("GMAW", "filler.diameter_mm", 0.035, "mm", "in"),
        ("GTAW", "filler.diameter_mm", 2.4, "in", "mm"),
        ("GTAW", "base_metals.thickness_mm", 0.125, "mm", "in"),
        ("GTAW", "base_metals.thickness_mm", 3.2, "in", "mm"),
        ("GTAW", "base_metals.thickness_mm", 125, "mm", "0.001 in"),
        ("GTAW", "gas_flow_l_min", 8, "ft3/h", "L/min"),
        ("GTAW", "preheat_c", 200, "°C", "°F"),
        ("GTAW", "air_c", 72, "°C", "°F"),
    ],
)
def test_slip_of_the_shop_is_named(
    process: Process, member: str, number: float, read_as: str, meant: str
) -> None:
    usual = band(process, member)
    assert usual is not None
    found = explain(usual, member, member, to_base(number, read_as))
    assert found is not None
    assert found.typed_as == meant
    assert found.value == pytest.approx(to_base(number, meant))


def test_a_flow_that_was_typed_in_liters_is_not_taken_for_cubic_feet() -> None:
    usual = band("GTAW", "gas_flow_l_min")
    assert usual is not None
    assert explain(usual, "gas_flow_l_min", "gas_flow_l_min", 3.4) is None  # heat-S24, 0.8 mm sheet


@given(st.integers(1, 999), st.sampled_from([0.001, 0.01, 0.1, 1, 10]), st.sampled_from([*UNITS]))
def test_what_was_typed_with_three_digits_has_three_in_its_unit(
    whole: int, step: float, unit: str
) -> None:
    number = round(whole * step, 3)
    assert digits(to_base(number, unit), unit) <= 3 or unit == "°F"
    assert from_base(to_base(number, unit), unit) == pytest.approx(number)


@given(st.floats(1e-6, 1e6), st.sampled_from(sorted(SLIPS)), st.sampled_from(PROCESSES))
def test_what_is_suggested_is_always_usual(value: float, member: str, process: Process) -> None:
    usual = band(process, member)
    found = explain(usual, member, member, value) if usual else None
    assert usual is None or found is None or usual.is_usual(found.value)


# --- how it is said


def entries(document: dict[str, Any]) -> dict[str, Finding]:
    """Return the entry findings of a coupon by rule id."""
    said = review(read(document)).findings
    return {each.rule.id: each for each in said if each.rule.id.startswith("entry-")}


@pytest.mark.parametrize(
    ("document", "rule", "words"),
    [
        (
            GTAW | {"travel_speed_mm_s": 8 / 60},
            "entry-travel-speed",
            "Did you mean 8 in/min, which is 203 mm/min?",
        ),
        (
            GMAW | {"wire_feed_mm_s": to_base(12.2, "in/min")},
            "entry-wire-feed",
            "Did you mean 12.2 m/min?",
        ),
        (
            GMAW | {"filler": {"designation": "4043", "diameter_mm": 35}},
            "entry-filler-diameter",
            "Did you mean 35 thousandths of an inch, which is 0.889 mm?",
        ),
        (
            GTAW | {"gas_flow_l_min": 25},
            "entry-gas-flow",
            "Did you mean 25 CFH, which is 11.8 L/min?",
        ),
        (GTAW | {"mean_power_kw": 1900}, "entry-mean-power", "Did you mean 1900 W, which is 1.9"),
        (GTAW | {"preheat_c": 200}, "entry-temperature", "Did you mean 200 °F, which is 93.3 °C?"),
        (
            {"process": "GTAW", "weld_length_mm": 150, "arc_time_s": 0.6},
            "entry-travel-speed",
            "Did you mean 0.6 min, which is 36 s?",
        ),
        (GTAW | {"voltage_v": 60}, "entry-voltage", "is usual. Check the number and its unit."),
    ],
)
def test_both_readings_are_in_the_sentence(document: dict[str, Any], rule: str, words: str) -> None:
    said = entries(document)[rule].says.replace("\u00a0", " ")
    assert words in said
    assert said.endswith("Check the number and its unit.")


def test_without_a_suggestion_only_a_check_is_asked_for() -> None:
    assert question(None) == "Check the number and its unit."


# --- volts and amps


@pytest.mark.parametrize(
    ("process", "current_a", "voltage_v"),
    [("GTAW", 55, 12), ("GTAW", 135, 15), ("GTAW", 300, 19), ("GMAW", 80, 18), ("GMAW", 280, 26)],
)
def test_volts_and_amps_that_were_swapped_are_asked_about_once(
    process: str, current_a: float, voltage_v: float
) -> None:
    typed = {"process": process, "current_a": voltage_v, "voltage_v": current_a}
    (found,) = entries(typed | {"travel_speed_mm_s": 7}).values()
    assert found.rule.id == "entry-volts-and-amps-swapped"
    assert found.suggestion == {"field": "current_a", "value": current_a, "typed_as": "V"}
    assert f"Did you mean {current_a} A and {voltage_v} V?" in found.says.replace("\u00a0", " ")


def test_volts_without_load_are_not_taken_for_a_current_that_the_metal_would_not_stand() -> None:
    plate = {"base_metals": [{"thickness_mm": 3.2}], "current_a": 15, "voltage_v": 60}
    assert "entry-volts-and-amps-swapped" not in entries({"process": "GTAW"} | plate)


def test_a_swap_in_one_run_is_named_by_its_place() -> None:
    run = {"current_a": 190, "voltage_v": 22}
    runs = [run, {"current_a": 22, "voltage_v": 190}]
    (found,) = entries({"process": "GMAW", "run_list": runs}).values()
    assert found.fields == ("run_list[1].current_a", "run_list[1].voltage_v")
