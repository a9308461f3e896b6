"""Limits that a school sets or confirms: what is read, what is refused, what is judged by them."""

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.contract import CONTRACT, fitting, schema_of, validator
from tests.engine.judging import any_coupon, case_of, fits
from tests.engine.limits import ALL, fillet, plate, verdicts
from weldlog.engine.acceptance import acceptance
from weldlog.engine.limit_sets import CONFIRMABLE, SETS
from weldlog.engine.reading import Unreadable
from weldlog.engine.school import DEFAULT, SchoolRules, read_rules

EXAMPLE: dict[str, Any] = json.loads((CONTRACT / "rules.example.json").read_text("utf-8"))
RULES = validator("rules")


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
