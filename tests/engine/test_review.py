"""The review as a whole: order, the one thing to try, and the examples of the contract."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.contract import example
from weldlog.engine.facts import read
from weldlog.engine.findings import SEVERITIES
from weldlog.engine.review import EDITION, FAMILIES, Review, review
from weldlog.engine.school import SchoolRules
from weldlog.engine.sources import SOURCES


def reviewed(name: str) -> Review:
    """Return the review of an example of the contract."""
    return review(read(example(name)))


def severities(found: Review) -> dict[str, str]:
    """Return how loudly each rule spoke."""
    return {each.rule.id: each.severity for each in found.findings}


def test_faulty_fillet_is_stopped_for_filler_degreasing_brush_and_polarity() -> None:
    said = severities(reviewed("fillet-faults"))
    stops = {rule for rule, severity in said.items() if severity == "stop"}
    assert {
        "filler-missing-6xxx",
        "cleaning-degrease-missing",
        "cleaning-carbon-steel-brush",
        "setup-dcen-argon",
    } <= stops
    assert said["setup-gas-flow-low"] == "warn"


def test_clean_fillet_is_neither_stopped_nor_warned() -> None:
    assert set(severities(reviewed("fillet-clean")).values()) <= {"advise"}
    assert reviewed("fillet-clean").next_try is None


def test_findings_stand_stop_warn_advise_and_by_family_inside() -> None:
    families = [{rule.id for rule in family.RULES} for family in FAMILIES]

    def place(rule: str) -> int:
        return next(n for n, ids in enumerate(families) if rule in ids)

    for name in ("fillet-faults", "gmaw-unit-slip"):
        order = [
            (SEVERITIES.index(each.severity), place(each.rule.id))
            for each in reviewed(name).findings
            if each.rule.id != "entry-not-possible"
        ]
        assert order == sorted(order)


def test_safety_stop_comes_first_of_all_and_is_what_to_try_next() -> None:
    faulty = example("fillet-faults")
    wiped = {"step": "degrease", "agent": "chlorinated", "tool": "shop_rag"}
    found = review(read(faulty | {"cleaning": [wiped]}))
    assert found.findings[0].rule.id.startswith("safety-")
    assert found.next_try is not None
    assert found.next_try.rule == found.findings[0].rule.id


def test_next_try_is_about_the_work_not_about_the_entry() -> None:
    document = {"process": "GTAW", "travel_speed_mm_s": 0.01, "gas_flow_l_min": 3}
    found = review(read(document))
    assert found.findings[0].rule.id == "entry-travel-speed"
    assert found.next_try is not None
    assert found.next_try.rule == "setup-gas-flow-low"


@pytest.mark.parametrize(
    ("members", "wanted"),
    [
        ({"crater_filled": False, "imperfections": [{"number": "104"}]}, "setup-crater-open"),
        ({"crater_filled": True, "imperfections": [{"number": "100"}]}, "restraint"),
        ({"minutes_since_cleaning": -5}, None),
        ({"imperfections": [{"number": "5011"}, {"number": "100"}]}, "restraint"),
    ],
)
def test_next_try_says_what_to_change_not_what_was_seen(
    members: dict[str, Any], wanted: str | None
) -> None:
    clean = example("fillet-clean")
    found = review(read(clean | members))
    assert (found.next_try.rule if found.next_try else None) == wanted


def test_next_try_falls_back_on_the_likeliest_cause() -> None:
    clean = example("fillet-clean")
    seen = review(read(clean | {"imperfections": [{"number": "5011", "size_mm": 0.5}]}))
    assert seen.causes
    assert seen.next_try is not None
    assert seen.next_try.says == seen.causes[0].coaching


def test_review_says_by_which_edition_and_settings() -> None:
    own = SchoolRules(cleaning_window_h=2)
    found = review(read({"process": "GTAW"}), own).as_json()
    assert found["edition"] == EDITION
    assert found["rules_hash"] == own.hash()
    assert "id" not in found


def test_every_finding_of_the_examples_names_a_known_source() -> None:
    for name in ("fillet-faults", "gmaw-unit-slip"):
        assert all(each["source"] in SOURCES for each in reviewed(name).as_json()["findings"])


def test_cautions_are_shown_whatever_was_logged() -> None:
    assert review(read({"process": "GTAW"})).as_json()["cautions"]


@settings(max_examples=20, derandomize=True, deadline=None)
@given(st.permutations(list(example("fillet-faults").items())))
def test_order_of_the_members_changes_nothing(members: list[tuple[str, Any]]) -> None:
    assert review(read(dict(members))) == reviewed("fillet-faults")


@pytest.mark.parametrize("name", ["fillet-clean", "fillet-faults", "gmaw-unit-slip"])
def test_what_was_typed_is_evidence_and_changes_nothing(name: str) -> None:
    typed = {"typed": {"current_a": {"text": "1,35e2", "unit": "A"}}}
    assert review(read(example(name) | typed)) == reviewed(name)
