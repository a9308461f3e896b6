"""ISO 10042 and the alternative set once a school confirmed them, and what was measured."""

from typing import Any

import pytest

from tests.engine.limits import ALL, fillet, iso, plate, verdicts
from weldlog.engine.acceptance import lacking
from weldlog.engine.limit_sets import ALTERNATIVE, CONFIRMABLE, ISO_LEVELS
from weldlog.engine.school import DEFAULT, SchoolRules

# The rows of ISO 10042 that can be confirmed: level, number, what the coupon states, largest size.
# Source: ISO 10042:2005/2018 Table 1, all from memory.
CAP_10 = {"weld": "v_groove", "groove": {"weld_width_mm": 10}}
CAP_50 = {"weld": "v_groove", "groove": {"weld_width_mm": 50}}
BUTT = {"weld": "square_groove"}
A_4 = {"weld": "fillet", "fillet": {"nominal_leg_mm": 4 * 2**0.5}}
ISO_ROWS: list[tuple[str, str, str, dict[str, Any], float]] = [
    ("Q03", "d", "2017", BUTT | {"base_metals": plate(5)}, 2.0),
    ("Q03", "d", "2017", BUTT | {"base_metals": plate(10)}, 3.0),
    ("Q03", "c", "2017", A_4 | {"base_metals": plate(5)}, 1.2),
    ("Q03", "b", "2017", BUTT | {"base_metals": plate(4)}, 0.8),
    ("Q05", "d", "2025", {"base_metals": plate(5)}, 2.0),
    ("Q05", "c", "2025", {"base_metals": plate(10)}, 1.5),
    ("Q08", "d", "5011", {"base_metals": plate(3)}, 0.6),
    ("Q08", "c", "5011", {"base_metals": plate(2)}, 0.2),
    ("Q09", "d", "5011", {"base_metals": plate(4)}, 0.8),
    ("prep_C29 Q09", "c", "5011", {"base_metals": plate(8)}, 0.5),
    ("Q10", "d", "5012", {"base_metals": plate(6)}, 1.2),
    ("Q10", "c", "5012", {"base_metals": plate(6)}, 0.6),
    ("Q10", "b", "5012", {"base_metals": plate(6)}, 0.5),
    ("Q11", "d", "502", CAP_10, 3.5),
    ("prep_C27 Q11", "c", "502", CAP_10, 3.0),
    ("prep_C28 Q11", "b", "502", CAP_50, 6.0),
    ("Q12", "d", "503", {"fillet": fillet(6, 6, 8)}, 4.5),
    ("Q12", "c", "503", {"fillet": fillet(6, 6, 8)}, 3.0),
    ("Q12", "b", "503", {"fillet": fillet(6, 6, 8)}, 2.5),
    ("Q13", "d", "504", {"base_metals": plate(5)}, 5.0),
    ("Q13", "c", "504", {"base_metals": plate(5)}, 4.0),
    ("Q13", "b", "504", {"base_metals": plate(5)}, 3.0),
    ("Q15", "d", "511", {"base_metals": plate(6)}, 1.2),
    ("Q15", "c", "509", {"base_metals": plate(6)}, 0.6),
    ("Q15", "b", "511", {"base_metals": plate(6)}, 0.3),
    ("Q17", "d", "512", A_4, 4.2),
    ("prep_C30 Q17", "c", "512", A_4, 3.0),
    ("Q17", "b", "512", A_4, 2.3),
    ("Q19", "d", "5213", A_4 | {"base_metals": plate(5)}, 1.2),
    ("Q19", "c", "5213", A_4 | {"base_metals": plate(5)}, 0.8),
    ("Q19", "b", "5213", A_4 | {"base_metals": plate(5)}, 0.4),
]
ISO_NEVER = [
    ("Q05", "b", "2025"),
    ("Q06", "c", "401"),
    ("Q06", "b", "4011"),
    ("Q07", "b", "4021"),
    ("Q09", "b", "5011"),
    ("Q14", "c", "506"),
    ("Q14", "b", "506"),
    ("Q16", "d", "510"),
    ("Q22", "c", "517"),
    ("Q22", "b", "517"),
    ("Q23-601", "c", "601"),
    ("Q23-602", "b", "602"),
]
ISO_UNSURE = [
    ("Q06", "d", "401"),
    ("Q07", "d", "402"),
    ("Q07", "c", "4021"),
    ("Q14", "d", "506"),
    ("Q18", "c", "515"),
    ("Q20", "b", "5214"),
    ("Q21", "d", "507"),
    ("Q22", "d", "517"),
    ("Q23-601", "d", "601"),
    ("Q23-602", "c", "602"),
    ("Q24", "c", "617"),
]


@pytest.mark.parametrize(
    ("row", "level", "number", "stated", "most"), ISO_ROWS, ids=lambda each: str(each)[:14]
)
def test_a_confirmed_row_is_judged_at_its_limit(
    row: str, level: str, number: str, stated: dict[str, Any], most: float
) -> None:
    at_limit = iso(level, number, most, **stated)
    assert (at_limit.verdict, at_limit.limit_mm) == ("accept", most)
    assert at_limit.row == f"iso10042-{level}-{row.rsplit(maxsplit=1)[-1]}"
    assert at_limit.standing == "memory"
    assert iso(level, number, round(most + 0.01, 2), **stated).verdict == "reject"


@pytest.mark.parametrize(("row", "level", "number"), ISO_NEVER)
def test_what_a_level_never_accepts_is_rejected(row: str, level: str, number: str) -> None:
    """ISO 10042:2005/2018 Table 1; from memory."""
    found = iso(level, number, base_metals=plate(6))
    assert (found.verdict, found.row) == ("reject", f"iso10042-{level}-{row}")


@pytest.mark.parametrize(("row", "level", "number"), ISO_UNSURE)
def test_a_row_of_low_confidence_is_looked_up_though_confirmed(
    row: str, level: str, number: str
) -> None:
    """Which rows are unsure: dossier section 4.2 (its question marks)."""
    found = iso(level, number, 0.1, base_metals=plate(6), weld="fillet", root_gap_mm=0.1)
    assert (found.verdict, found.row) == ("look_up", f"iso10042-{level}-{row}")


@pytest.mark.parametrize("level", ISO_LEVELS)
def test_pores_in_thin_metal_and_an_older_edition_are_not_judged(level: str) -> None:
    """Q04 is unsure; Q25, of 1992, has no row."""
    assert iso(level, "2017", 0.1, base_metals=plate(3), **BUTT).verdict == "look_up"
    assert not any("Q25" in limit for limit in CONFIRMABLE)


@pytest.mark.parametrize("level", ISO_LEVELS)
def test_a_row_that_the_school_did_not_confirm_is_looked_up(level: str) -> None:
    stated = CAP_10 | {"acceptance_set": f"iso10042_{level}"}
    one = {"imperfections": [{"number": "502", "size_mm": 0.1}]}
    found = verdicts(DEFAULT, **stated, **one)["502"]
    assert (found.verdict, found.standing) == ("look_up", "memory")
    confirmed = SchoolRules(confirmed_limits=(f"iso10042-{level}-Q11",))
    assert verdicts(confirmed, **stated, **one)["502"].verdict == "accept"


@pytest.mark.parametrize(
    ("number", "stated", "missing"),
    [
        ("5011", {"base_metals": [{"alloy": "6061"}]}, "base_metals.thickness_mm"),
        ("502", {"weld": "v_groove"}, "groove.weld_width_mm"),
        ("503", {"weld": "fillet"}, "fillet.leg_1_mm"),
        ("512", {"weld": "fillet"}, "fillet.nominal_leg_mm"),
        ("2017", {"base_metals": plate(6)}, "weld"),
    ],
)
def test_what_the_log_lacks_is_named(number: str, stated: dict[str, Any], missing: str) -> None:
    found = iso("c", number, 0.1, **stated)
    assert found.verdict == "look_up"
    assert missing in found.missing
    assert missing in next(lacking([found])).missing


def test_metal_thinner_than_the_scope_is_looked_up() -> None:
    """ISO 10042:2018 scope, above 0.5 mm; read (prep-S22)."""
    assert iso("c", "512", 0.1, base_metals=plate(0.4), **A_4).verdict == "look_up"


def test_prep_C25_undersize_on_12_percent_of_the_length_fails_the_alternative() -> None:
    """TB 9-2510-242-40 p. 67, steel section (1.6 mm on 10 percent of the length); read."""

    def size(length_mm: float | None, school: SchoolRules = ALL, leg_mm: float = 3.5) -> str:
        seen: dict[str, Any] = {"number": "5213"}
        seen |= {} if length_mm is None else {"length_mm": length_mm}
        measured = {"nominal_leg_mm": 5, "leg_1_mm": leg_mm}
        logged = {"fillet": measured, "weld_length_mm": 150, "acceptance_set": ALTERNATIVE}
        return verdicts(school, **logged, imperfections=[seen])["5213"].verdict

    assert size(18) == "reject"
    assert size(15) == "accept"
    assert size(15, leg_mm=3.3) == "reject"
    assert size(None) == "look_up"
    assert size(18, DEFAULT) == "look_up"


@pytest.mark.parametrize(
    ("size_mm", "verdict"),
    [(0.25, "accept"), (0.26, "look_up"), (0.79, "look_up"), (0.8, "reject")],
)
def test_the_alternative_cannot_tell_where_an_undercut_lies(size_mm: float, verdict: str) -> None:
    """TB 9-2510-242-40 p. 67, steel section: 0.25 mm across the pull, else 0.79 mm; read."""
    seen = [{"number": "5011", "size_mm": size_mm}]
    assert verdicts(ALL, imperfections=seen, acceptance_set=ALTERNATIVE)["5011"].verdict == verdict


# What was measured, judged though nobody named it.
CONFIRMED_C = {"acceptance_set": "iso10042_c", "base_metals": plate(5)}
CROWN = {"weld": "v_groove", "groove": {"weld_width_mm": 10, "excess_weld_metal_mm": 3.1}}
MEASURED_CASES: list[tuple[str, dict[str, Any], float, str]] = [
    ("503", {"fillet": fillet(6, 6, 8, convexity_mm=3.1)}, 3.1, "reject"),
    ("503", {"fillet": fillet(6, 6, 8, convexity_mm=3.0)}, 3.0, "accept"),
    ("512", {"fillet": fillet(4, 4, 8)}, 4.0, "reject"),
    ("502", CROWN, 3.1, "reject"),
    ("511", {"weld": "v_groove", "groove": {"excess_weld_metal_mm": -0.6}}, 0.6, "reject"),
    ("5213", {"fillet": fillet(5, 5, 5, throat_mm=2.0)}, 1.54, "reject"),
    ("5213", {"fillet": fillet(5, 5, 5, throat_mm=3.5)}, 0.04, "accept"),
    ("5213", {"fillet": fillet(5, 3, 5)}, 1.41, "reject"),
    ("5213", {"fillet": fillet(5, 5, 5)}, 0.0, "look_up"),
    ("5213", {"fillet": fillet(5, 5, 5, convexity_mm=0.2)}, 0.0, "accept"),
    ("507", {"mismatch_mm": 0.5}, 0.5, "look_up"),
    ("617", {"weld": "fillet", "root_gap_mm": 1.0}, 1.0, "look_up"),
]


@pytest.mark.parametrize(("number", "stated", "measured", "verdict"), MEASURED_CASES)
def test_what_was_measured_is_judged_though_nobody_named_it(
    number: str, stated: dict[str, Any], measured: float, verdict: str
) -> None:
    found = verdicts(ALL, **CONFIRMED_C, **stated)[number]
    assert found.verdict == verdict
    if found.measured_mm is not None:
        assert found.measured_mm == measured


def test_what_no_row_speaks_of_is_not_judged_unasked() -> None:
    measured = fillet(5, 5, 5, throat_mm=4.0)
    assert set(verdicts(DEFAULT, fillet=measured, root_gap_mm=1, weld="fillet")) == {"5213"}


def test_a_shape_that_was_measured_is_shown_where_the_classroom_set_has_no_limit() -> None:
    """No limit was read; common practice is that the instructor judges it."""
    measured = fillet(5, 5, 7, convexity_mm=2.0)
    found = verdicts(DEFAULT, fillet=measured, mismatch_mm=1)
    shape = {number: found[number] for number in ("503", "507", "512")}
    assert {each.verdict for each in shape.values()} == {"look_up"}
    assert {number: each.measured_mm for number, each in shape.items()} == {
        "503": 2.0,
        "507": 1.0,
        "512": 2.0,
    }


def test_the_larger_of_what_was_logged_and_measured_is_judged() -> None:
    groove = {"weld_width_mm": 10, "excess_weld_metal_mm": 1.0}
    assert iso("c", "502", 3.1, weld="v_groove", groove=groove).measured_mm == 3.1
    assert iso("c", "502", 0.5, weld="v_groove", groove=groove).measured_mm == 1.0
