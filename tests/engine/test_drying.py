"""A drying that was left out: when it is a stop, when the times tell of one, and that it is said
once. Five minutes for a thin wipe is common practice, no source; that solvent must be gone before
the arc was read (migal.co, preparation page)."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.cases_cleaning import (
    BRUSH,
    DEGREASE,
    DRY,
    ETCH,
    WASH,
    Document,
    at,
    cleaned,
    gtaw,
    moment,
    timed,
)
from weldlog.engine.facts import read
from weldlog.engine.review import review

DRYING = {
    "safety-solvent-not-dried",
    "cleaning-dry-missing",
    "cleaning-dry-late",
    "cleaning-dry-not-logged",
    "cleaning-residue-left",
}


def drying(document: Document) -> dict[str, str]:
    """Return how loudly a coupon is told of its drying."""
    found = review(read(document)).findings
    return {each.rule.id: each.severity for each in found if each.rule.id in DRYING}


def test_an_hour_from_the_wipe_to_the_brush_is_a_drying_that_nobody_logged() -> None:
    coupon = timed("09:00", "10:00", arc="10:14")
    assert drying(coupon) == {"cleaning-dry-not-logged": "advise"}


@pytest.mark.parametrize(
    ("coupon", "said"),
    [
        (cleaned(DEGREASE, BRUSH), "safety-solvent-not-dried"),
        (timed("09:00", "09:02", arc="09:04"), "safety-solvent-not-dried"),
        (timed("09:00", "09:02", arc="09:30"), "cleaning-dry-missing"),
        (timed("09:00", "09:02", arc="09:30", preheat_c=80), "safety-solvent-not-dried"),
        (cleaned(WASH, BRUSH), "cleaning-dry-missing"),
        (cleaned(at("09:00", WASH), at("10:00", BRUSH)), "cleaning-dry-missing"),
        (cleaned(DRY, DEGREASE, BRUSH), "safety-solvent-not-dried"),
        (cleaned(DRY, WASH, BRUSH), "cleaning-dry-missing"),
        (cleaned(DEGREASE, BRUSH, DRY), "cleaning-dry-late"),
        (cleaned(DEGREASE, DRY, ETCH), "cleaning-residue-left"),
    ],
)
def test_one_drying_that_was_left_out_is_one_stop(coupon: Document, said: str) -> None:
    assert drying(coupon) == {said: "stop"}


def test_times_that_run_backward_tell_of_no_drying() -> None:
    assert drying(timed("09:00", "10:00", arc="09:30")) == {"safety-solvent-not-dried": "stop"}


def test_a_wipe_after_the_brush_dries_before_the_arc_by_itself() -> None:
    wipe = {"step": "wipe", "agent": "acetone"}
    steps = [at("09:00", DEGREASE), at("09:05", DRY), at("09:10", BRUSH), at("09:12", wipe)]
    late, soon = ({**cleaned(*steps), "arc_started_at": moment(arc)} for arc in ("09:20", "09:15"))
    assert drying(late) == {"cleaning-dry-not-logged": "advise"}
    assert drying(soon) == {"safety-solvent-not-dried": "stop"}


def test_a_dry_cloth_leaves_nothing_to_dry() -> None:
    assert not drying(cleaned(DEGREASE | {"agent": "none"}, BRUSH))


def test_an_etch_after_a_wet_wipe_is_no_brush_and_is_told_of_rinsing() -> None:
    """Mathers 2002 Table 4.4 (caustic soda, then nitric acid, rinsed between); read."""
    acid = ETCH | {"agent": "acid_etch"}
    said = {
        each.rule.id: each for each in review(read(cleaned(DEGREASE, ETCH, acid, DRY))).findings
    }
    assert set(said) == {"safety-acid-etch", "safety-caustic-etch", "cleaning-etch-rinse"}
    assert said["cleaning-etch-rinse"].severity == "advise"
    assert not any("brush" in each.says for each in said.values())


_AGENTS = ["acetone", "alcohol", "alkaline", "other", "none", "acid_etch", None]
_STEPS = ["degrease", "dry", "remove_oxide", "wipe", "other"]


@st.composite
def any_cleaning(draw: st.DrawFn) -> Document:
    """Return coupons with any steps, timed in order or not at all."""
    minute, steps = 0, list[dict[str, Any]]()
    for name in draw(st.lists(st.sampled_from(_STEPS), max_size=6)):
        agent = draw(st.sampled_from(_AGENTS)) if name in ("degrease", "wipe", "other") else None
        minute += draw(st.integers(0, 7))
        step = {"step": name} | ({"agent": agent} if agent else {})
        steps.append(at(f"09:{minute:02}", step) if draw(st.booleans()) else step)
    arc = draw(st.none() | st.integers(minute, 59))
    started = {} if arc is None else {"arc_started_at": moment(f"09:{arc:02}")}
    return gtaw(cleaning=steps, **started)


@given(any_cleaning())
def test_no_drying_that_was_left_out_is_said_twice(coupon: Document) -> None:
    """Two are said only where a drying was logged between two wipes: too late for one, and
    none after the other."""
    said = set(drying(coupon))
    names = [each["step"] for each in coupon["cleaning"]]
    if len(said) > 1:
        assert said == {"cleaning-dry-late", "safety-solvent-not-dried"}
        assert "dry" in names[names.index("degrease") :]


@given(any_cleaning())
def test_a_drying_at_the_end_leaves_no_danger_at_the_arc(coupon: Document) -> None:
    dried = coupon | {"cleaning": [*coupon["cleaning"], DRY]}
    assert "safety-solvent-not-dried" not in drying(dried)
    assert "cleaning-residue-left" not in drying(dried)
