"""Repair of a used part: its own advice, only where the coupon says that it is a repair."""

from typing import Any

import pytest

from tests.engine.cases_alloy import used
from tests.engine.judging import severities
from weldlog.engine import alloys
from weldlog.engine.facts import read
from weldlog.engine.review import review

ALWAYS = {"alloy-repair-cut-out": "advise"}


def said(**state: Any) -> dict[str, str]:
    return severities(alloys, used(**state))


def test_a_repair_asks_for_cracks_and_old_weld_to_be_cut_out() -> None:
    assert said() == ALWAYS


@pytest.mark.parametrize("work", ["fabrication", None])
def test_nothing_is_said_of_a_part_that_is_no_repair(work: str | None) -> None:
    document = used(coating="paint", stored="outdoors")
    document["work"] = work
    if work is None:
        del document["work"]
    assert severities(alloys, document) == {}


# Armao, Don't know the alloy?: looks do not tell. alloy-S21h (read).
@pytest.mark.parametrize("alloy", [None, "unknown"])
def test_alloy_r20_an_unknown_metal_in_a_repair_is_a_warning(alloy: str | None) -> None:
    assert said(alloy=alloy)["alloy-repair-unknown-metal"] == "warn"


# Soaked-in oil and dirt of castings: the notes on 356.0 and common practice, no source.
@pytest.mark.parametrize("alloy", ["356.0", "A356", "319.0", "443.0", "514.0"])
def test_a_used_casting_may_be_soaked_with_oil(alloy: str) -> None:
    assert said(alloy=alloy)["alloy-repair-soaked-casting"] == "advise"


# US Army bridge repair, p. 1226: 50 mm clear of paint; TB 9-2510-242-40, p. 70: 100 mm with the
# back face. Both read.
@pytest.mark.parametrize("coating", ["paint", "anodised", "plated", "unknown"])
def test_prep_p02_a_coating_is_stripped_well_back(coating: str) -> None:
    document = used(coating=coating)
    assert severities(alloys, document)["alloy-repair-coating"] == "advise"
    case = next(each for each in alloys.RULES if each.id == "alloy-repair-coating")
    assert "{near_text}" in case.says


@pytest.mark.parametrize("stored", ["outdoors", "immersed"])
def test_a_part_that_served_in_the_wet_carries_heavy_oxide(stored: str) -> None:
    assert said(stored=stored) == ALWAYS | {"alloy-repair-heavy-oxide": "advise"}


# A designation that was read off the part is not "nobody has said": the tables lack it.
@pytest.mark.parametrize("alloy", ["6060", "A380.0", "535.0"])
def test_an_alloy_that_was_named_and_is_not_in_the_tables_is_named_back(alloy: str) -> None:
    found = said(alloy=alloy)
    assert found["alloy-repair-unlisted-metal"] == "warn"
    assert "alloy-repair-unknown-metal" not in found


# Common practice, no source: die castings hold gas. 380, 384 and 518 from memory of the register.
@pytest.mark.parametrize("alloy", ["413.0", "380.0", "A380", "518.0"])
def test_a_die_casting_holds_gas(alloy: str) -> None:
    assert said(alloy=alloy)["alloy-repair-die-casting"] == "advise"


# One fact is said once: the cleaning rules speak of a coating that was left and of damp oxide.
@pytest.mark.parametrize(
    "state", [{"coating": "paint"}, {"coating": "unknown"}, {"stored": "outdoors"}]
)
@pytest.mark.parametrize(
    "steps",
    [
        [],
        [{"step": "degrease", "agent": "acetone"}],
        [
            {"step": "degrease", "agent": "acetone"},
            {"step": "remove_oxide", "tool": "stainless_hand_brush"},
        ],
    ],
    ids=["not cleaned", "degreased", "brushed"],
)
def test_a_coating_and_damp_oxide_are_spoken_of_once(
    state: dict[str, Any], steps: list[dict[str, Any]]
) -> None:
    rules = {each.rule.id for each in review(read(used(**state) | {"cleaning": steps})).findings}
    for repair, cleaning in (
        ("alloy-repair-coating", {"cleaning-coating-left", "cleaning-coating-unknown"}),
        ("alloy-repair-heavy-oxide", {"cleaning-hydrated-oxide"}),
    ):
        assert not (repair in rules and rules & cleaning)
