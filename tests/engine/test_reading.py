"""The reader of facts: what it keeps, and the one line with which it refuses the rest."""

from datetime import timedelta
from typing import Any

import pytest

from weldlog.engine.facts import NO_FILLER, Facts, Filler, read
from weldlog.engine.reading import Unreadable
from weldlog.engine.school import DEFAULT, SchoolRules, read_rules


def refused(document: Any) -> str:
    """Return the line with which a document is refused."""
    with pytest.raises(Unreadable) as problem:
        read(document)
    return str(problem.value)


def test_not_asked_and_not_done_stay_apart() -> None:
    silent, stated = read({"process": "GTAW"}), read({"process": "GTAW", "cleaning": []})
    assert silent.cleaning is None
    assert stated.cleaning == ()


def test_no_filler_is_a_statement_and_silence_is_none() -> None:
    assert read({"process": "GTAW"}).filler is None
    assert read({"process": "GTAW", "filler": None}).filler is NO_FILLER
    named = read({"process": "GTAW", "filler": {"designation": "ER4043"}}).filler
    assert named == Filler(designation="ER4043")


def test_one_metal_stands_for_both_sides() -> None:
    facts = read({"process": "GTAW", "base_metals": [{"alloy": "6061"}]})
    assert facts.sides is not None
    assert [side.alloy for side in facts.sides] == ["6061", "6061"]
    assert Facts(process="GTAW").sides is None


def test_a_time_keeps_its_offset() -> None:
    facts = read({"process": "GTAW", "arc_started_at": "2026-09-14T09:20:00-05:00"})
    assert facts.arc_started_at is not None
    assert facts.arc_started_at.utcoffset() == timedelta(hours=-5)


@pytest.mark.parametrize(
    ("document", "line"),
    [
        ([], "coupon: expected an object, got a list."),
        ({}, "process: this member is missing."),
        ({"process": "MIG"}, 'process: expected one of GTAW, GMAW, got "MIG".'),
        ({"process": "GTAW", "amps": 9}, "amps: no such member; check the spelling."),
        (
            {"process": "GTAW", "current_a": float("inf")},
            "current_a: expected a finite number, got Infinity.",
        ),
        (
            {"process": "GTAW", "current_a": 10**400},
            "current_a: expected a finite number, got a number of more than 50 digits.",
        ),
        (
            {"process": "GTAW", "runs": 10**400},
            "runs: expected a finite number, got a number of more than 50 digits.",
        ),
        ({"process": "GTAW", "runs": 0}, "runs: expected 1 or more, got 0."),
        ({"process": "GTAW", "runs": 2.5}, "runs: expected a whole number, got 2.5."),
        (
            {"process": "GTAW", "base_metals": [{}, {"thickness_mm": 0}]},
            "base_metals[1].thickness_mm: expected a number above 0, got 0.",
        ),
        (
            {"process": "GTAW", "run_list": [{}]},
            "run_list: expected 2 items or more, got 1.",
        ),
        (
            {"process": "GTAW", "cleaning": [{"step": {"deep": [[]]}}]},
            (
                "cleaning[0].step: expected one of strip_coating, cut, dress_edge, deburr, "
                "degrease, dry, remove_oxide, wipe, cover, blow_off, recut_rod, other, got an "
                "object."
            ),
        ),
        ({"process": "GTAW", "a\nb": 1}, "a\\u000ab: no such member; check the spelling."),
    ],
)
def test_refusal_names_the_member_and_what_would_do(document: Any, line: str) -> None:
    assert refused(document) == line


def test_a_long_text_is_cut_in_the_message() -> None:
    assert len(refused({"process": "x" * 5000})) < 200


@pytest.mark.parametrize("hours", ["24:00:00", "09:60:00", "09:00:60", "9:00:00", "09:00"])
def test_a_time_of_day_that_no_clock_shows_is_refused(hours: str) -> None:
    line = refused({"process": "GTAW", "arc_started_at": f"2026-09-14T{hours}Z"})
    assert line.startswith("arc_started_at: expected a time with its offset")


def test_school_rules_are_read_by_the_same_reader() -> None:
    assert read_rules({}) == DEFAULT
    assert read_rules({"cleaning_window_h": 2}) == SchoolRules(cleaning_window_h=2.0)
    with pytest.raises(Unreadable, match=r"rules\.cleaning_window_h: expected a number above 0"):
        read_rules({"cleaning_window_h": 0})


@pytest.mark.parametrize("first", [True, 1, 1.0])
def test_what_was_read_before_is_not_taken_for_what_only_looks_equal(first: object) -> None:
    """Python takes 1, 1.0 and true for the same; a coupon does not."""

    def coupon(**tungsten: object) -> Any:
        return {"process": "GTAW", "tungsten": tungsten}

    known = read(coupon(touched_pool=True, diameter_mm=1))
    if first is True:
        assert read(coupon(touched_pool=first, diameter_mm=1.0)) == known
    else:
        line = refused(coupon(touched_pool=first, diameter_mm=1))
        assert "touched_pool: expected true or false" in line
    line = refused(coupon(touched_pool=True, diameter_mm=True))
    assert "diameter_mm: expected a number, got true" in line
