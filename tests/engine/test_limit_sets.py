"""Sets of limits: ISO 10042 once confirmed, a school's own sets, and what holds for every row."""

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.cases_cleaning import gtaw, metal
from tests.engine.contract import CONTRACT, fitting, schema_of, validator
from tests.engine.judging import any_coupon, case_of, fits
from weldlog.engine.acceptance import Verdict, acceptance, lacking
from weldlog.engine.imperfection_list import IMPERFECTIONS, by_key, find, is_crack
from weldlog.engine.limit_sets import ALTERNATIVE, CONFIRMABLE, ISO_LEVELS, SETS, limits_of
from weldlog.engine.limits import Limit
from weldlog.engine.measured import hundredths
from weldlog.engine.reading import Unreadable
from weldlog.engine.school import DEFAULT, SchoolRules, read_rules

ALL = SchoolRules(confirmed_limits=tuple(CONFIRMABLE))
EXAMPLE: dict[str, Any] = json.loads((CONTRACT / "rules.example.json").read_text("utf-8"))
RULES = validator("rules")
JUDGED = [
    limit
    for each in SETS.values()
    for limit in each.limits
    if limit.judged_by in ("size", "undersize", "root_depth") and limit.confidence != "L"
]


def verdicts(school: SchoolRules, **members: Any) -> dict[str, Verdict]:
    case = case_of(gtaw(**members), school)
    return {each.imperfection: each for each in acceptance(case)}


def iso(level: str, number: str, size_mm: float | None = None, **members: Any) -> Verdict:
    """Return the verdict of a level of ISO 10042 whose rows were all confirmed."""
    one = {"number": number} | ({} if size_mm is None else {"size_mm": size_mm})
    members = {"imperfections": [one], "acceptance_set": f"iso10042_{level}"} | members
    return verdicts(ALL, **members)[number]


def plate(thickness_mm: float) -> list[dict[str, Any]]:
    return [metal(thickness_mm=thickness_mm)]


def fillet(nominal_mm: float, leg_1_mm: float, leg_2_mm: float, **more: float) -> dict[str, float]:
    return {"nominal_leg_mm": nominal_mm, "leg_1_mm": leg_1_mm, "leg_2_mm": leg_2_mm, **more}


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
    measured = fillet(5, 5, 7, convexity_mm=2.0, throat_mm=4.0)
    assert set(verdicts(DEFAULT, fillet=measured, mismatch_mm=1)) == {"5213"}


def test_the_larger_of_what_was_logged_and_measured_is_judged() -> None:
    groove = {"weld_width_mm": 10, "excess_weld_metal_mm": 1.0}
    assert iso("c", "502", 3.1, weld="v_groove", groove=groove).measured_mm == 3.1
    assert iso("c", "502", 0.5, weld="v_groove", groove=groove).measured_mm == 1.0


def test_the_rules_of_the_example_are_read_and_fit_the_schema() -> None:
    RULES.validate(EXAMPLE)
    school = read_rules(EXAMPLE)
    own = school.own_sets["first term"]
    assert [limit.id for limit in own.limits[:2]] == ["first term-1", "first term-2"]
    assert {limit.standing for limit in own.limits} == {"practice"}
    assert read_rules({}) == DEFAULT


@pytest.mark.parametrize(
    ("seen", "stated", "verdict"),
    [
        ({"number": "5011", "size_mm": 0.6}, {"base_metals": plate(6)}, "reject"),
        ({"number": "5011", "size_mm": 0.5}, {"base_metals": plate(6)}, "accept"),
        ({"number": "506", "length_mm": 25}, {"weld_length_mm": 300}, "accept"),
        ({"number": "506", "length_mm": 26}, {"weld_length_mm": 300}, "reject"),
        ({"number": "506", "length_mm": 16}, {"weld_length_mm": 60}, "reject"),
        ({"number": "506"}, {}, "look_up"),
        ({"number": "515", "size_mm": 0.5}, {"groove": {"excess_weld_metal_mm": 1}}, "accept"),
        ({"number": "602"}, {}, "accept"),
        ({"number": "104"}, {}, "reject"),
        ({"number": "601"}, {}, "look_up"),
    ],
)
def test_a_set_of_the_schools_own_is_judged_by(
    seen: dict[str, Any], stated: dict[str, Any], verdict: str
) -> None:
    logged = {"acceptance_set": "first term", "imperfections": [seen]}
    found = verdicts(read_rules(EXAMPLE), **logged, **stated)[seen["number"]]
    assert (found.set, found.verdict) == ("first term", verdict)


def test_short_ones_that_may_lie_close_together_are_looked_up() -> None:
    """ "Short" is 25 mm in any 100 mm (ISO 10042, from memory); two of 20 mm may share 100 mm."""
    seen = [{"number": "506", "length_mm": 20}, {"number": "506", "length_mm": 20}]
    logged = {"acceptance_set": "first term", "imperfections": seen}
    school = read_rules(EXAMPLE)
    assert verdicts(school, weld_length_mm=300, **logged)["506"].verdict == "look_up"
    assert verdicts(school, weld_length_mm=100, **logged)["506"].verdict == "reject"


def test_a_measured_size_is_held_against_the_schools_own_limit() -> None:
    measured = {"fillet": fillet(5, 5, 7), "acceptance_set": "first term"}
    assert verdicts(read_rules(EXAMPLE), **measured)["512"].verdict == "reject"


def test_a_set_that_is_not_known_says_look_it_up() -> None:
    logged = {"acceptance_set": "no such set", "fillet": fillet(5, 3, 3)}
    found = verdicts(ALL, imperfections=[{"number": "506"}], **logged)
    assert {number: each.verdict for number, each in found.items()} == {
        "506": "look_up",
        "5213": "look_up",
    }


def own(**limit: Any) -> dict[str, Any]:
    return {"limit_sets": [{"name": "ours", "limits": [{"imperfection": "502", **limit}]}]}


REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"confirmed_limits": ["iso10042-c-Q99"]}, "confirmed_limits[0]: no such limit"),
    ({"confirmed_limits": "all"}, "confirmed_limits: expected a list"),
    ({"limit_sets": {}}, "limit_sets: expected a list"),
    ({"limit_sets": [{"name": "ours"}]}, "limit_sets[0].limits: this member is missing"),
    ({"limit_sets": [{"name": "ours", "limits": []}]}, "limits: expected 1 items or more"),
    (own(judged_by="never") | {"confirmed": []}, "confirmed: no such member"),
    (own(judged_by="sometimes"), "judged_by: expected one of never"),
    (own(judged_by="size"), 'limits[0]: "size" needs base_mm, or factor and of'),
    (own(judged_by="size", factor=0.1), "factor and of go together"),
    (own(judged_by="size", base_mm=-1), "base_mm: expected 0 or more"),
    (own(judged_by="size", base_mm=1, cap_mm=0), "cap_mm: expected a number above 0"),
    (own(judged_by="size", base_mm=1, percent=1), '"size" takes no percent'),
    (own(judged_by="size", base_mm=1, in_any_mm=100), "percent_of_length is missing"),
    (own(judged_by="never", base_mm=1), '"never" takes no base_mm'),
    (own(judged_by="length"), "percent_of_length is missing"),
    (own(judged_by="porosity_area"), '"porosity_area" needs percent'),
    (own(judged_by="size", factor=0.1, of="s"), "of: expected one of thickness"),
]
# What a schema cannot say.
REFUSED_BY_THE_READER: list[tuple[dict[str, Any], str]] = [
    (own(judged_by="never", imperfection="porridge"), "imperfection is neither a number"),
    (own(judged_by="allowed", imperfection="104"), "a crack is never accepted"),
    (own(judged_by="size", base_mm=1, imperfection="crack"), "a crack is never accepted"),
    ({"limit_sets": 2 * own(judged_by="never")["limit_sets"]}, "a set of this name already"),
]
NAMES = [
    ("classroom", "a set of this name already"),
    (" ", "give the set a name"),
    ("x" * 41, "40"),
]


@pytest.mark.parametrize(("document", "line"), REFUSED)
def test_schema_and_reader_refuse_the_same(document: dict[str, Any], line: str) -> None:
    assert not RULES.is_valid(document)
    assert line in refused(document)


@pytest.mark.parametrize(("document", "line"), REFUSED_BY_THE_READER)
def test_limits_that_no_coupon_can_be_judged_by_are_refused(
    document: dict[str, Any], line: str
) -> None:
    assert line in refused(document)


@pytest.mark.parametrize(("name", "line"), NAMES)
def test_a_name_that_coupons_cannot_use_is_refused(name: str, line: str) -> None:
    document = own(judged_by="never")
    document["limit_sets"][0]["name"] = name
    assert not RULES.is_valid(document)
    assert line in refused(document)


def refused(document: dict[str, Any]) -> str:
    with pytest.raises(Unreadable) as problem:
        read_rules(document)
    assert len(str(problem.value).splitlines()) == 1
    assert str(problem.value).startswith("rules.")
    return str(problem.value)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(
        schema_of("rules")["properties"]["limit_sets"]["items"]["properties"]["limits"]["items"][
            "oneOf"
        ]
    ),
    st.data(),
)
def test_reader_and_schema_agree_on_a_limit(variant: dict[str, Any], data: st.DataObject) -> None:
    drawn = data.draw(fitting(variant)) | {"imperfection": "502"}
    document = {"limit_sets": [{"name": "ours", "limits": [drawn]}]}
    if RULES.is_valid(document):
        assert read_rules(document).own_sets["ours"].limits
    else:
        refused(document)


def test_the_schema_lists_the_limits_that_can_be_confirmed() -> None:
    items = schema_of("rules")["properties"]["confirmed_limits"]["items"]
    assert set(items["enum"]) == CONFIRMABLE


def test_the_order_of_confirmation_does_not_change_the_hash() -> None:
    first, second = sorted(CONFIRMABLE)[:2]
    one = SchoolRules(confirmed_limits=(first, second))
    assert one.hash() == SchoolRules(confirmed_limits=(second, first)).hash()
    assert len({one.hash(), DEFAULT.hash(), read_rules(EXAMPLE).hash()}) == 3


# A coupon on which every size that a limit can go with is known.
KNOWN: dict[str, Any] = {
    "base_metals": plate(6),
    "weld": "fillet",
    "fillet": {"nominal_leg_mm": 6, "leg_1_mm": 6, "leg_2_mm": 6, "throat_mm": 4.3},
    "groove": {"excess_weld_metal_mm": 1.5},
    "weld_length_mm": 150,
}


def named(limit: Limit, size_mm: float) -> Verdict:
    """Return the verdict of one limit on one size."""
    kind = by_key(limit.imperfections[0])
    number = kind.numbers[0] if kind else limit.imperfections[0]
    seen = {"number": number, "size_mm": size_mm, "length_mm": 1}
    thickness = plate(2 if limit.to_mm else 6)
    logged = KNOWN | {"base_metals": thickness, "acceptance_set": limit.set}
    return verdicts(ALL, imperfections=[seen], **logged)[number]


@pytest.mark.parametrize("limit", JUDGED, ids=lambda limit: limit.id)
def test_equality_accepts_in_every_row(limit: Limit) -> None:
    most = named(limit, 0.01).limit_mm
    assert most is not None
    sure = most if limit.unsure_above_mm is None else limit.unsure_above_mm
    assert named(limit, sure).verdict == "accept"
    assert named(limit, round(most + 0.01, 2)).verdict == "reject"


@settings(deadline=None)
@given(st.sampled_from(JUDGED), st.floats(0, 20), st.floats(0, 20))
def test_a_larger_size_is_never_accepted_where_a_smaller_is_rejected(
    limit: Limit, one: float, other: float
) -> None:
    order = ["accept", "look_up", "reject"]
    small, large = (order.index(named(limit, each).verdict) for each in sorted((one, other)))
    assert small <= large


@given(st.decimals(0, 1000, places=2))
def test_hundredths_are_those_of_the_number_as_written(size: Any) -> None:
    assert hundredths(float(size)) == int(size * 100)


@given(st.floats(allow_nan=False))
def test_any_size_has_hundredths(size: float) -> None:
    assert isinstance(hundredths(size), int)


def test_every_limit_names_a_number_or_key_of_the_list() -> None:
    for each in SETS.values():
        for limit in each.limits:
            for name in limit.imperfections:
                assert by_key(name) or find(name), limit.id
            assert limit.words
            if is_crack(limit.imperfections[0]):
                assert limit.judged_by == "never"


def test_what_is_remembered_says_so() -> None:
    for limit in SETS["iso10042_c"].limits:
        assert limit.must_be_confirmed
        assert limit.confidence in ("H", "M", "L")
        assert limit.standing == ("read" if limit.source == "prep-S21" else "memory")
    assert not any(limit.must_be_confirmed for limit in SETS["classroom"].limits)


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("undercut", {"up to 0.1 × thickness"}),
        ("throat_small", {"up to 0.79 mm (0.031 in) under the leg wanted"}),
        ("burn_through", {"none"}),
        ("spatter", set()),
    ],
)
def test_the_limits_of_a_kind_read_well(key: str, words: set[str]) -> None:
    kind = by_key(key)
    assert kind
    said = {limit.words for limit in limits_of(kind) if limit.set == "classroom"}
    assert {each.replace("\u00a0", " ") for each in said} == words


@settings(deadline=None, max_examples=60)
@given(
    coupon=any_coupon(
        "imperfections",
        "base_metals",
        "fillet",
        "groove",
        "joint",
        "weld",
        "crater_filled",
        "mismatch_mm",
        "root_gap_mm",
        "weld_length_mm",
        "penetrant",
    ),
    chosen=st.sampled_from([*SETS, "first term"]),
)
def test_any_coupon_gets_verdicts_by_any_set(coupon: dict[str, Any], chosen: str) -> None:
    school = read_rules(EXAMPLE | {"confirmed_limits": sorted(CONFIRMABLE)})
    said = acceptance(case_of(coupon | {"acceptance_set": chosen}, school))
    assert fits("acceptance", [each.as_json() for each in said])


def test_every_kind_in_the_list_has_its_limits_at_hand() -> None:
    assert all(isinstance(limits_of(kind), tuple) for kind in IMPERFECTIONS)
