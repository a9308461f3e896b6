"""No false alarm: printed settings, typed as they stand, are not questioned.

Every row of the two tables of settings in the notes on heat (3.1 and 3.2), each with its source,
at both ends of every range. Rows whose alignment or number was doubtful in the source are left
out of the strict test and say so.
"""

from itertools import product
from typing import Any

import pytest

from weldlog.engine.facts import read
from weldlog.engine.review import review
from weldlog.engine.units import to_base

type Range = tuple[float, ...]

# Thickness, current, tungsten, rod, argon L/min, travel mm/min; source.
GTAW_ROWS: list[tuple[float, Range, Range, Range, Range, Range, str]] = [
    (0.8, (55,), (), (1.6,), (3.4, 4.5), (300,), "heat-S24"),
    (1.2, (100,), (), (1.6,), (3.4, 4.5), (), "heat-S24"),
    (1.6, (60, 80, 90), (1.6,), (1.6,), (7,), (400,), "heat-S19"),
    (1.6, (60, 80), (2.4,), (1.6,), (5, 6), (), "heat-S20"),
    (1.6, (60, 85, 95), (1.6,), (1.6,), (7,), (), "heat-S21"),
    (1.5, (60, 90), (1.0, 1.6), (1.6,), (6, 9), (), "heat-S55"),
    (3.2, (125, 145, 160), (1.6, 2.4), (2.4,), (7,), (300,), "heat-S19"),
    (3.2, (125, 145), (3.2,), (2.4,), (6, 7), (), "heat-S20"),
    (3.2, (125, 150, 160), (2.4,), (2.4, 3.2), (10,), (), "heat-S21"),
    (3.2, (125, 145, 160), (), (), (8,), (), "heat-S22"),
    (3.0, (100, 160), (1.6, 2.4), (1.6, 2.4), (7, 10), (), "heat-S55"),
    (3.0, (150, 180), (3.0,), (2.0, 3.0), (8, 12), (), "heat-S23"),
    (3.0, (90, 100), (), (), (8, 10), (60, 100), "heat-S50"),
    (4.8, (180, 225, 240), (2.4, 4.0), (3.2,), (6.5, 10), (250,), "heat-S19"),
    (5.0, (150, 250), (2.4, 3.2), (2.4, 3.2), (10, 15), (), "heat-S55"),
    (6.0, (235, 300, 320), (3.2, 4.8), (4.0, 4.8), (8.5, 13), (250,), "heat-S19"),
    (6.4, (235, 300, 320), (3.2, 4.8), (4.0, 4.8), (8.5, 13), (250,), "heat-S19"),
    (6.0, (200, 280), (2.4, 3.2), (2.4, 3.2), (10, 15), (), "heat-S55"),
]
# The fillet speeds of heat-S24, of which it could not be told which row they belong to.
DOUBTFUL_GTAW: list[tuple[float, Range, Range, Range, Range, Range, str]] = [
    (1.6, (70, 90), (1.6,), (1.6, 2.4), (4.5,), (190,), "heat-S24"),
    (3.2, (140, 160), (2.4,), (3.2,), (5.6,), (230,), "heat-S24"),
    (4.8, (190, 240), (2.4, 4.0), (3.2,), (6.5, 10), (280,), "heat-S24"),
    (6.0, (250, 320), (3.2, 4.8), (4.0, 4.8), (8.5, 13), (200,), "heat-S24"),
]
# Thickness, wire, current, volts, wire feed m/min, argon L/min, travel mm/min; source.
GMAW_ROWS: list[tuple[float, float, Range, Range, Range, Range, Range, str]] = [
    (2, 0.8, (80,), (18, 21), (11.7,), (), (1020,), "heat-S25"),
    (2, 0.8, (70, 110), (15, 20), (), (12,), (640, 1140), "heat-S26"),
    (3, 0.9, (130,), (19, 22), (12.2,), (), (1020,), "heat-S25"),
    (3.2, 0.8, (120, 150), (20, 24), (), (14,), (610, 760), "heat-S26"),
    (3.2, 1.2, (120, 150), (20, 24), (), (14,), (610, 760), "heat-S26"),
    (3, 1.2, (120, 140), (20, 22), (), (20,), (600, 800), "heat-S27"),
    (6, 1.2, (195,), (20, 24), (10.9,), (), (1020,), "heat-S25"),
    (6.4, 1.2, (185, 225), (24, 29), (), (19,), (610, 760), "heat-S26"),
    (6.4, 1.6, (185, 225), (24, 29), (), (19,), (610, 760), "heat-S26"),
    (6, 1.6, (180, 210), (23, 25), (), (20, 25), (400, 600), "heat-S27"),
    (2, 0.8, (100,), (18, 20), (12.7,), (), (1040,), "heat-S25"),
    (3, 0.9, (140,), (19, 21), (14.7,), (), (780,), "heat-S25"),
    (3, 1.2, (140, 160), (21, 22), (), (15, 20), (600, 700), "heat-S27"),
    (5, 1.2, (190,), (21, 23), (10.8,), (), (560,), "heat-S25"),
    (5, 1.6, (220,), (21, 23), (7.2,), (), (660,), "heat-S25"),
    (6, 1.2, (210,), (22, 25), (12.2,), (), (510,), "heat-S25"),
    (6, 1.6, (230,), (22, 25), (7.6,), (), (640,), "heat-S25"),
    (6, 1.6, (200, 230), (24, 26), (), (20, 25), (500, 650), "heat-S27"),
    (12, 1.8, (280,), (24, 28), (8.5,), (), (610,), "heat-S25"),
]
# A double V in 3 + 3 runs; the number of the table in the source was inferred.
DOUBTFUL_GMAW: list[tuple[float, float, Range, Range, Range, Range, Range, str]] = [
    (12.5, 1.6, (260,), (24,), (), (), (1050,), "heat-S24"),
    (12.5, 1.6, (225,), (26,), (), (), (800,), "heat-S24"),
]
# heat-S49, 6xxx extrusions in spray: the only row without thickness, speed and wire.
EXTRUSIONS: dict[str, Range] = {"current_a": (140, 220), "voltage_v": (22, 26)}


def questions(document: dict[str, Any]) -> list[str]:
    """Return the entry rules that speak on a coupon."""
    said = (each.rule.id for each in review(read(document)).findings)
    return [rule for rule in said if rule.startswith("entry-")]


def typed(**members: Any) -> dict[str, Any]:
    """Return the members that a row prints."""
    return {name: value for name, value in members.items() if value is not None}


def gtaw_coupons(row: tuple[Any, ...]) -> list[dict[str, Any]]:
    """Return the coupons of a row, at both ends of each of its ranges."""
    thickness, *ranges, _source = row
    found = []
    for current, tungsten, rod, gas, travel in product(*(each or (None,) for each in ranges)):
        found.append(
            typed(
                process="GTAW",
                polarity="AC",
                base_metals=[{"thickness_mm": thickness}],
                current_a=current,
                tungsten={"diameter_mm": tungsten} if tungsten else None,
                filler={"designation": "4043", "diameter_mm": rod} if rod else None,
                gas_flow_l_min=gas,
                travel_speed_mm_s=to_base(travel, "mm/min") if travel else None,
                shielding_gas="argon",
            )
        )
    return found


def gmaw_coupons(row: tuple[Any, ...]) -> list[dict[str, Any]]:
    """Return the coupons of a row, at both ends of each of its ranges."""
    thickness, wire, *ranges, _source = row
    found = []
    for current, volts, feed, gas, travel in product(*(each or (None,) for each in ranges)):
        found.append(
            typed(
                process="GMAW",
                polarity="DCEP",
                base_metals=[{"thickness_mm": thickness}],
                filler={"designation": "5356", "diameter_mm": wire},
                current_a=current,
                voltage_v=volts,
                wire_feed_mm_s=to_base(feed, "m/min") if feed else None,
                gas_flow_l_min=gas,
                travel_speed_mm_s=to_base(travel, "mm/min") if travel else None,
                shielding_gas="argon",
            )
        )
    return found


def named(row: tuple[Any, ...]) -> str:
    """Return the name of a row in the list of tests: its source and thickness."""
    return f"{row[-1]}-{row[0]}mm-{row[1]}"


@pytest.mark.parametrize("row", GTAW_ROWS, ids=named)
def test_heat_3_1_printed_gtaw_setting_is_not_questioned(row: tuple[Any, ...]) -> None:
    for coupon in gtaw_coupons(row):
        assert questions(coupon) == [], coupon


@pytest.mark.parametrize("row", GMAW_ROWS, ids=named)
def test_heat_3_2_printed_gmaw_setting_is_not_questioned(row: tuple[Any, ...]) -> None:
    for coupon in gmaw_coupons(row):
        # 70 A and 15 V at 1140 mm/min, the two ends of heat-S26 that nobody would weld together,
        # give 0.055 kJ/mm; the notes (3.3) ask from 0.06 down.
        ends_that_do_not_meet = row[-1] == "heat-S26" and coupon["current_a"] == 70
        found = questions(coupon)
        assert found == [] or (ends_that_do_not_meet and found == ["entry-arc-energy"]), coupon


@pytest.mark.parametrize("row", [*DOUBTFUL_GTAW, *DOUBTFUL_GMAW], ids=named)
def test_doubtful_rows_are_at_most_warned_about(row: tuple[Any, ...]) -> None:
    coupons = gtaw_coupons(row) if len(row) == 7 else gmaw_coupons(row)
    for coupon in coupons:
        stops = [each for each in review(read(coupon)).findings if each.severity == "stop"]
        assert [each.rule.id for each in stops if each.rule.id.startswith("entry-")] == []


def test_heat_S49_extrusions_are_not_questioned() -> None:
    for current, volts in product(*EXTRUSIONS.values()):
        assert questions({"process": "GMAW", "current_a": current, "voltage_v": volts}) == []


# heat notes 7: 10 + 0.04 I is offered as assumed where a machine shows no volts; at the 320 A that
# heat-S21 prints for a fillet of 6.4 mm that is 22.8 V, more than an arc in argon takes.
def test_assumed_volts_are_not_questioned_where_read_ones_are() -> None:
    plate = {"process": "GTAW", "base_metals": [{"thickness_mm": 6.4}], "current_a": 320}
    assert questions(plate | {"voltage_v": 22.8, "voltage_read": "assumed"}) == []
    assert questions(plate | {"voltage_v": 22.8, "voltage_read": "display"}) == ["entry-voltage"]
    assert questions(plate | {"voltage_v": 80, "voltage_read": "assumed"}) == ["entry-voltage"]


# What is sold as 0.030 in and as 0.8 mm wire, in inches; heat-S28 gives it 75 to 150 A.
@pytest.mark.parametrize("inches", [0.030, 0.035, 0.040, 3 / 64, 1 / 16, 3 / 32])
def test_wires_sold_by_the_inch_are_usual(inches: float) -> None:
    wire = {"designation": "4043", "diameter_mm": inches * 25.4}
    assert questions({"process": "GMAW", "filler": wire}) == []
