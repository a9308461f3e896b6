"""Imperfections: their numbers, the inspection family, and the ranking of causes."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.cases_cleaning import BRUSH, DEGREASE, DRY, cleaned, gmaw, gtaw, rod
from tests.engine.cases_inspection import seen
from tests.engine.contract import example
from tests.engine.judging import any_coupon, case_of, fits, found
from weldlog.engine import cleaning, fillers, imperfections, safety, setup
from weldlog.engine.causes import CAUSES, Cause, FiredRule, Log, causes, rows_of
from weldlog.engine.facts import Facts, read
from weldlog.engine.findings import Case, Finding
from weldlog.engine.imperfection_list import IMPERFECTIONS, find, lineage
from weldlog.engine.logged import Told
from weldlog.engine.review import RULES, review
from weldlog.engine.school import DEFAULT

FAMILIES = (safety, cleaning, setup, imperfections, fillers)


def causes_of(document: Any) -> list[Cause]:
    case = case_of(document)
    said = [each for family in FAMILIES for each in family.check(case)]
    return list(causes(case, [each for each in said if isinstance(each, Finding)]))


def first_cause(document: Any) -> tuple[str, str]:
    first = causes_of(document)[0]
    return first.cause, first.evidence


@pytest.mark.parametrize(
    ("number", "key"),
    [
        ("100", "crack"),
        ("101", "crack"),
        ("1013", "crack"),
        ("105", "crack"),
        ("104", "crater_crack"),
        ("2017", "pore_surface"),
        ("4011", "lack_of_fusion"),
        ("5011", "undercut"),
        ("l1", "soot"),
    ],
)
def test_a_number_is_found_and_a_child_is_taken_for_its_parent(number: str, key: str) -> None:
    """Source: Mathers 2002 Table 11.1 (read); ISO 6520-1:2007 for the children (memory)."""
    kind = find(number)
    assert kind
    assert kind.key == key


@pytest.mark.parametrize("number", ["", "9", "999", "pores", "💥", "2" * 500])
def test_a_number_that_is_not_in_the_list_gives_advice_and_no_causes(number: str) -> None:
    coupon = seen(number)
    assert set(found(imperfections, coupon)) == {"inspection-number-unknown"}
    assert not causes_of(coupon)


@pytest.mark.parametrize("number", ["100", "101", "104", "1011", "106"])
def test_prep_C31_any_crack_is_stopped(number: str) -> None:
    """Source: TM 5-5420-279-23 p. 1238, GL Rules II-3-2 Annex B; read."""
    assert found(imperfections, seen(number))["inspection-crack"].severity == "stop"


def test_prep_C14_a_dragged_gun_is_the_first_cause_of_soot() -> None:
    """Source: Bedra, soot page; read."""
    coupon = gmaw(torch_angle_deg=-10, imperfections=[{"number": "L1"}])
    assert first_cause(coupon) == ("gas-or-angle", "recorded")


def test_prep_C20_pores_with_a_gas_flow_of_3_are_first_a_matter_of_gas() -> None:
    """Source: European Aluminium Association, Table VIII.4 (causes), read; strengths practice."""
    coupon = gtaw(gas_flow_l_min=3, imperfections=[{"number": "2017"}])
    assert first_cause(coupon) == ("gas-shield-lost", "recorded")


def test_prep_C21_pores_without_degreasing_are_first_a_matter_of_oil() -> None:
    """Source: Mathers 2002 Tables 2.3 and 11.1 (causes), read; strengths practice."""
    coupon = cleaned(BRUSH, gas_flow_l_min=9, imperfections=[{"number": "2011"}])
    assert first_cause(coupon) == ("oil-left", "recorded")


def test_the_faults_of_the_contract_name_filler_oil_and_gas_first() -> None:
    said = [(cause.imperfection, cause.cause) for cause in causes_of(example("fillet-faults"))]
    assert said[0:2] == [("2017", "oil-left"), ("2017", "gas-shield-lost")]
    assert said[3] == ("104", "filler-wrong")


def test_a_recorded_cause_comes_before_a_stronger_one_without_evidence() -> None:
    coupon = gtaw(torch_angle_deg=-5, imperfections=[{"number": "2017"}])
    order = [(cause.cause, cause.strength) for cause in causes_of(coupon)]
    assert order == [("torch-angle", 2), ("gas-shield-lost", 3), ("water-on-metal", 2)]


def test_without_evidence_the_log_says_that_it_cannot_tell() -> None:
    clean = causes_of(gtaw(gas_flow_l_min=9, imperfections=[{"number": "2017"}]))
    assert {cause.evidence for cause in clean} == {"none"}
    assert all(cause.coaching.startswith("The log cannot tell") for cause in clean)
    assert not any(cause.fields for cause in clean)


# What the log holds is normal, so that it rules the cause out (``against`` in causes.tsv); which
# facts those are is common practice, no source.
RULED_OUT: dict[str, tuple[str, dict[str, Any]]] = {
    "oil-left": ("2017", {}),
    "oxide-left": ("2017", {}),
    "filler-dirty": ("2017", {"filler": rod(condition="wiped")}),
    "gas-shield-lost": ("2017", {"gas_flow_l_min": 9, "draught": False}),
    "water-on-metal": ("2017", {"air_c": 21, "metal_c": 21}),
    "torch-angle": ("2017", {"torch_angle_deg": 10}),
    "crater-open": ("2025", {"crater_filled": True}),
    "tungsten-touched": ("3041", {"tungsten": {"touched_pool": False}}),
    "not-brushed-between-runs": ("303", {"runs": 1}),
    "gap-under-tee": ("5213", {"joint": "tee", "root_gap_mm": 0}),
    "freezes-too-fast": (
        "2017",
        # heat-S19, 3.2 mm butt: 135 A, 300 mm/min
        {"weld": "square_groove", "current_a": 135, "travel_speed_mm_s": 5},
    ),
}


def possible_causes(document: Any) -> set[str]:
    """Return the causes that are left for what was seen, however many there are."""
    facts = read(document)
    said = review(facts)
    log = Log(Case(facts, said.figures, DEFAULT), said.findings)
    kinds = [kind for each in facts.imperfections or () if (kind := find(each.number))]
    return {
        row.name
        for kind in kinds
        for row in rows_of(kind, facts.process)
        if row.spoken_for(log) is not None or not row.ruled_out(log)
    }


@pytest.mark.parametrize("cause", RULED_OUT)
def test_a_cause_that_the_log_speaks_against_is_left_out(cause: str) -> None:
    number, logged = RULED_OUT[cause]
    bare = {"process": "GTAW", "imperfections": [{"number": number}]}
    assert cause in possible_causes(bare)
    assert cause not in possible_causes(gtaw(**logged, imperfections=[{"number": number}]))


def test_what_rules_a_cause_out_is_a_member_of_the_log() -> None:
    known = Told(case_of({"process": "GTAW"}))
    for row in CAUSES:
        for member in row.against.members if row.against else ():
            assert hasattr(known, member.partition(".")[0]), (row.name, member)


def test_a_speed_that_is_probably_a_slip_rules_nothing_out() -> None:
    usual = {"weld": "square_groove", "current_a": 135, "imperfections": [{"number": "2017"}]}
    slip = gtaw(**usual, travel_speed_mm_s=8 / 60)
    assert "freezes-too-fast" in possible_causes(slip)


def test_what_to_try_next_is_never_a_cause_that_the_log_rules_out() -> None:
    coupon = gtaw(filler=rod(condition="wiped"), imperfections=[{"number": "2017"}])
    said = review(read(coupon))
    assert said.next_try is not None
    assert said.next_try.rule == said.causes[0].cause == "gas-shield-lost"


def test_2011_and_2012_are_gas_pores() -> None:
    """Source: ISO 6520-1:2007, gas pore and uniformly distributed porosity; from memory."""
    kinds = {find("2011"), find("2012")}
    assert [kind.name for kind in kinds if kind] == ["Gas pores"]


def test_a_number_that_is_probably_a_slip_of_the_unit_is_no_evidence() -> None:
    said = review(case_of(example("gmaw-unit-slip") | {"imperfections": [{"number": "506"}]}).facts)
    assert any(finding.rule.id == "entry-travel-speed" for finding in said.findings)
    assert {cause.evidence for cause in said.causes} == {"none"}


def test_causes_of_the_other_process_are_left_out() -> None:
    gtaw_rows = {cause.cause for cause in causes_of(gtaw(imperfections=[{"number": "401"}]))}
    assert "dip-transfer" not in gtaw_rows
    assert not causes_of(gmaw(imperfections=[{"number": "3041"}]))


def test_a_number_that_was_logged_twice_is_answered_once() -> None:
    assert len(causes_of(seen("2017", "2017"))) == 3


def test_coaching_never_blames() -> None:
    """Dossier section 3.3, rule 4."""
    words = " ".join(row.coaching + row.check for row in CAUSES).lower()
    for blame in ("you failed", "your fault", "careless", "you should have", "lazy", "you forgot"):
        assert blame not in words


def test_every_rule_that_stands_as_evidence_exists() -> None:
    known = set(RULES)
    for row in CAUSES:
        for each in row.evidence:
            if isinstance(each, FiredRule):
                stem = each.rule.removesuffix("*")
                assert any(rule == stem or rule.startswith(stem) for rule in known), each.rule
                assert each.rule.endswith("*") or each.rule in known, each.rule


def test_every_row_of_the_matrix_speaks_of_a_kind_in_the_list() -> None:
    keys = {kind.key for kind in IMPERFECTIONS}
    assert {key for row in CAUSES for key in row.imperfections} <= keys
    assert all(set(lineage(kind)) <= keys for kind in IMPERFECTIONS)


def test_a_coupon_on_which_nobody_looked_is_not_assessed() -> None:
    case = case_of({"process": "GTAW"})
    assert [each.as_json()["missing"] for each in imperfections.check(case)] == [["imperfections"]]


@settings(deadline=None)
@given(
    coupon=any_coupon(
        "imperfections",
        "cleaning",
        "base_metals",
        "filler",
        "gas_flow_l_min",
        "root_gap_mm",
        "weld",
    )
)
def test_any_coupon_of_the_contract_gets_causes_in_the_shape_of_the_contract(
    coupon: object,
) -> None:
    given_facts: Facts = case_of(coupon).facts
    said = causes_of(coupon)
    assert fits("causes", [cause.as_json() for cause in said])
    for number in {each.number for each in given_facts.imperfections or ()}:
        ranked = [(c.evidence == "none", -c.strength) for c in said if c.imperfection == number]
        assert len(ranked) <= 3
        assert ranked == sorted(ranked)


@given(st.text())
def test_any_text_may_stand_for_a_number(number: str) -> None:
    said = review(read(seen(number)))
    assert {cause.imperfection for cause in said.causes} <= {number}
    assert [each.imperfection for each in said.acceptance] == [number]


def test_clean_and_in_order_the_steps_are_no_evidence() -> None:
    coupon = cleaned(DEGREASE, DRY, BRUSH, imperfections=[{"number": "2017"}])
    assert all(cause.evidence == "none" for cause in causes_of(coupon))
