"""Acceptance: the classroom visual set, row by row, at its limits."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.cases_cleaning import gtaw, metal
from tests.engine.judging import any_coupon, case_of, fits
from weldlog.engine.acceptance import Verdict, acceptance
from weldlog.engine.facts import read
from weldlog.engine.review import review


def verdicts(**members: Any) -> dict[str, Verdict]:
    return {each.imperfection: each for each in acceptance(case_of(gtaw(**members)))}


def word(number: str, size_mm: float | None = None, **members: Any) -> str:
    one = {"number": number} | ({} if size_mm is None else {"size_mm": size_mm})
    return verdicts(imperfections=[one], **members)[number].verdict


def fillet(nominal_mm: float, *legs_mm: float) -> dict[str, float]:
    legs = {f"leg_{place}_mm": leg for place, leg in enumerate(legs_mm, start=1)}
    return {"nominal_leg_mm": nominal_mm, **legs}


@pytest.mark.parametrize("chosen", ["classroom", "iso10042_b", "iso10042_d", "our own"])
@pytest.mark.parametrize("number", ["100", "101", "104", "1011"])
def test_prep_C31_a_crack_is_rejected_in_every_set(number: str, chosen: str) -> None:
    """Source: TM 5-5420-279-23 p. 1238, GL Rules II-3-2 Annex B; read."""
    assert word(number, 0.01, acceptance_set=chosen) == "reject"


def test_prep_C22_an_undercut_of_0_7_mm_on_6_mm_is_rejected() -> None:
    """Source: TM 5-5420-279-23 p. 1238 (10 percent of the thickness); read."""
    plate = [metal(thickness_mm=6)]
    seen = verdicts(imperfections=[{"number": "5011", "size_mm": 0.7}], base_metals=plate)["5011"]
    assert (seen.verdict, seen.measured_mm, seen.limit_mm) == ("reject", 0.7, 0.6)
    assert word("5011", 0.6, base_metals=plate) == "accept"


def test_an_undercut_is_held_against_the_thinner_side() -> None:
    sides = [metal(thickness_mm=6), metal(thickness_mm=3)]
    assert word("5012", 0.4, base_metals=sides) == "reject"
    assert word("5012", 0.3, base_metals=[metal(), {"alloy": "5052"}]) == "look_up"


def test_prep_C24_a_fillet_of_4_3_for_5_mm_is_accepted() -> None:
    """Source: TM 5-5420-279-23 p. 1238 (1/32 in under size); read."""
    size = verdicts(fillet=fillet(5, 4.3, 5.2))["5213"]
    assert (size.verdict, size.measured_mm, size.limit_mm) == ("accept", 0.7, 0.79)


def test_prep_C25_a_fillet_of_3_5_for_5_mm_is_rejected() -> None:
    """Source: TM 5-5420-279-23 p. 1238; read. The share of the length is not logged."""
    assert verdicts(fillet=fillet(5, 3.5))["5213"].verdict == "reject"


def test_prep_C26_a_pore_of_1_6_mm_is_rejected() -> None:
    """Source: TM 5-5420-279-23 p. 1239 (1.5 mm); read."""
    assert word("2017", 1.6) == "reject"
    assert word("2017", 1.5) == "accept"


@pytest.mark.parametrize(
    ("number", "row"), [("510", "CV08"), ("506", "CV12"), ("2025", "CV02"), ("4011", "full-fusion")]
)
def test_what_is_never_accepted(number: str, row: str) -> None:
    """Source: TM 5-5420-279-23 p. 1236-1238 for burn-through; the others as their standing says."""
    seen = verdicts(imperfections=[{"number": number}])[number]
    assert (seen.verdict, seen.row) == ("reject", f"classroom-{row}")


def test_incomplete_penetration_is_judged_in_a_butt_joint_only() -> None:
    """Source: TM 5-5420-279-23 p. 1238, one-sided butt root; read."""
    assert word("4021", joint="butt") == "reject"
    assert word("4021", joint="tee") == "look_up"


def test_a_hollow_root_may_not_leave_the_weld_thinner_than_the_plate() -> None:
    """Source: TM 5-5420-279-23 p. 1238 (no thinner than the parent, at most 6.35 mm); read."""
    crown = {"excess_weld_metal_mm": 1.0}
    assert word("515", 1.0, groove=crown) == "accept"
    assert word("515", 1.01, groove=crown) == "reject"
    assert word("515", 6.4, groove={"excess_weld_metal_mm": 9}) == "reject"
    assert word("515", 1.0) == "look_up"


def test_an_open_crater_is_rejected_though_nobody_named_it() -> None:
    """AWS D1.x: craters filled to the full section; from memory."""
    crater = verdicts(crater_filled=False)["2025"]
    assert (crater.verdict, crater.standing) == ("reject", "memory")
    assert not verdicts(crater_filled=True)


def test_a_size_that_was_not_measured_is_looked_up() -> None:
    assert word("2017") == "look_up"


@pytest.mark.parametrize(
    ("count", "length_mm", "verdict"), [(8, None, "accept"), (9, None, "reject"), (3, 40, "reject")]
)
def test_open_pores_may_take_up_one_percent_of_the_face(
    count: int, length_mm: float | None, verdict: str
) -> None:
    """Source: TM 5-5420-279-23 p. 1239 (1 percent of the area); read. Which area is not said there:
    the face of the weld, on the stretch that was logged with the pores, is taken."""
    pores = {"number": "2017", "size_mm": 1.2, "count": count}
    pores |= {} if length_mm is None else {"length_mm": length_mm}
    logged = {"weld": "fillet", "fillet": fillet(4, 4, 5), "weld_length_mm": 150}
    found = verdicts(imperfections=[pores], **logged)["2017"]
    assert found.verdict == verdict
    assert found.row == ("classroom-CV10" if verdict == "accept" else "classroom-CV11")


def test_without_a_width_the_diameter_of_open_pores_decides() -> None:
    assert (
        verdicts(imperfections=[{"number": "2017", "size_mm": 1.2, "count": 600}])["2017"].row
        == "classroom-CV10"
    )


@pytest.mark.parametrize(
    ("penetrant", "verdict"), [("indications", "reject"), ("clear", "look_up"), (None, "look_up")]
)
def test_a_pore_that_penetrant_shows_as_a_line_is_rejected(
    penetrant: str | None, verdict: str
) -> None:
    """Source: TM 5-5420-279-23 p. 1239 (no linear indications); read. That an elongated pore shows
    as a line is common practice, no source."""
    stated = {"penetrant": penetrant} if penetrant else {}
    assert word("2015", 1.0, **stated) == verdict


def test_a_throat_that_was_measured_bounds_the_size_of_a_fillet() -> None:
    """The largest equal-leg triangle in it: AWS A3.0, from memory."""
    hollow = verdicts(fillet=fillet(5, 5, 5) | {"throat_mm": 2.9})["5213"]
    assert (hollow.verdict, hollow.measured_mm) == ("reject", 0.9)
    assert verdicts(fillet=fillet(5, 5, 5) | {"throat_mm": 3.6})["5213"].verdict == "accept"


def test_excess_weld_metal_has_a_limit_that_no_log_can_be_held_against() -> None:
    """Source: TM 5-5420-279-23 p. 1238 (40 percent over the specified profile); read."""
    crown = verdicts(groove={"excess_weld_metal_mm": 2.0})["502"]
    assert (crown.verdict, crown.row) == ("look_up", "classroom-CV05")


def test_what_is_missing_for_a_verdict_is_said() -> None:
    said = review(read(gtaw(imperfections=[{"number": "2017"}, {"number": "515"}])))
    wanted = {"imperfections.size_mm", "groove.excess_weld_metal_mm"}
    assert [set(each.missing) for each in said.not_assessed if "acceptance" in each.what] == [
        wanted
    ]


@pytest.mark.parametrize("number", ["502", "503", "507", "601", "L1", "999", ""])
def test_what_the_set_does_not_judge_is_looked_up(number: str) -> None:
    assert word(number, 1.0) == "look_up"


@pytest.mark.parametrize("chosen", ["iso10042_b", "iso10042_c", "iso10042_d", "our own"])
def test_a_set_whose_limits_were_not_read_says_look_it_up(chosen: str) -> None:
    seen = verdicts(imperfections=[{"number": "506"}], acceptance_set=chosen)["506"]
    assert (seen.set, seen.verdict) == (chosen, "look_up")


@given(nominal=st.integers(2, 30), under=st.integers(0, 200))
def test_sizes_are_compared_to_a_hundredth_and_equality_accepts(nominal: int, under: int) -> None:
    leg = nominal - under / 100
    size = verdicts(fillet=fillet(nominal, leg))["5213"]
    assert size.measured_mm == under / 100
    assert size.verdict == ("accept" if under <= 79 else "reject")


@settings(deadline=None)
@given(
    coupon=any_coupon(
        "imperfections",
        "acceptance_set",
        "base_metals",
        "fillet",
        "groove",
        "joint",
        "crater_filled",
    )
)
def test_any_coupon_of_the_contract_gets_verdicts_in_the_shape_of_the_contract(
    coupon: object,
) -> None:
    assert fits("acceptance", [each.as_json() for each in acceptance(case_of(coupon))])
