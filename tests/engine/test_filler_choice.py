"""The choice of a filler for a pair of metals: its order, its reasons and its sources.

Published answers stand in ``test_alloy_checks``; that a review agrees, in ``test_filler_offers``.
"""

import re
from functools import cache
from itertools import combinations_with_replacement
from typing import Any

import pytest

from weldlog.engine.alloys import ALLOYS
from weldlog.engine.dilution import crack_line, weld_composition
from weldlog.engine.filler_choice import FillerChoice, Offer, choose
from weldlog.engine.filler_metals import FILLERS, GRADES
from weldlog.engine.filler_notes import NOTES
from weldlog.engine.filler_pairs import CHARTED
from weldlog.engine.sources import source

PAIRS = list(combinations_with_replacement(ALLOYS, 2))


def offer(choice: FillerChoice, designation: str) -> Offer:
    return next(each for each in choice.fillers if each.designation == designation)


def offered(choice: FillerChoice) -> list[str]:
    return [each.designation for each in choice.fillers if each.verdict != "do_not_use"]


# Using 4043 and 4643 when welding 6061-T6 (thefabricator.com): 4643 answers to heat treatment
# by itself, 4043 only through the base.
def test_4643_comes_before_4043_where_the_part_is_heat_treated_again() -> None:
    choice = choose("6061", heat_treated_after=True)
    assert choice.fillers[0].designation == "4643"
    assert any("10 mm" in each for each in offer(choice, "4043").reasons)


# Matching filler alloys with A356: 4008 or 4010 for a casting that is fully heat treated.
def test_a_casting_that_is_heat_treated_takes_a_matching_filler_first() -> None:
    choice = choose("A356.0", heat_treated_after=True)
    assert {each.designation for each in choice.fillers[:2]} == {"4008", "4010"}


# Corrosion 15(2) 1959; ABS 2-5-5 Table 1A, note 5: 5454 with 5554 is made for warm parts.
def test_warm_service_leaves_5554_on_5454_and_nothing_on_5083() -> None:
    assert choose("5454", above_65_c=True).fillers[0].designation == "5554"
    warm = choose("5083", above_65_c=True)
    assert offered(warm) == []
    assert "65 °C" in warm.why


# Common practice, no source: magnesium with copper in one weld, and 5454 with a 7 % Si casting.
@pytest.mark.parametrize("pair", ["2219 5083", "2219 5052", "2219 7005", "5454 356.0"])
def test_a_pair_that_is_not_recommended_says_why(pair: str) -> None:
    choice = choose(*pair.split())
    assert choice.weldable == "not_recommended"
    assert offered(choice) == []
    assert choice.why == offer(choice, "4043").reasons[0].split(". ")[1] + "."


# The same wire is offered for what its joint melts: a square butt of 6061 takes 4047 first
# (worked examples W04 and W05), and Al-Mg5 on lean metal is left out there.
def test_the_joint_decides_as_well() -> None:
    assert choose("6061", weld="square_groove").fillers[0].designation == "4047"
    assert offer(choose("5050"), "5356").verdict == "first_choice"
    assert offer(choose("5050", weld="square_groove"), "5356").verdict == "do_not_use"
    assert offer(choose("5050", weld=None, joint="edge"), "5356").verdict == "do_not_use"


@pytest.mark.parametrize(
    ("asked", "percent"),
    [
        ({}, 30),
        ({"process": "GMAW"}, 20),
        ({"weld": "square_groove"}, 90),
        ({"weld": None, "joint": "edge", "process": "GMAW"}, 80),
    ],
)
def test_a_choice_says_for_which_joint_it_holds(asked: dict[str, Any], percent: float) -> None:
    judged_for = choose("6061", **asked).judged_for
    assert judged_for
    assert judged_for.base_percent == pytest.approx(percent)


# Armao, Don't know the alloy? (read): 2xx.0 and 7xx.0 castings are mostly not weldable.
@pytest.mark.parametrize("typed", ["206.0", "A201.0", "713.0", "206"])
def test_alloy_r10_castings_of_copper_and_zinc_are_mostly_not_weldable(typed: str) -> None:
    choice = choose(typed)
    assert choice.weldable == "unknown"
    assert "mostly not weldable" in choice.why


# Rows of the notes that no fact of a coupon decides are said beside the choice.
@pytest.mark.parametrize(
    ("pair", "rows"),
    [
        ("6061", {"R9", "R13", "R16", "R17", "R18", "R19"}),
        ("1100 3003", {"R18", "R19", "R21"}),
        ("7020", {"R7", "R17", "R18", "R19"}),
        ("A356.0 6061", {"R9", "R10", "R16", "R18", "R19"}),
        ("7075", set()),
        ("2219 5083", set()),
    ],
)
def test_what_no_coupon_can_state_is_said_beside_the_choice(pair: str, rows: set[str]) -> None:
    said = {each.says for each in choose(*pair.split()).notes}
    assert {note.row for note in NOTES if note.says in said} == rows


def test_an_unknown_alloy_gets_no_verdict_and_a_way_to_find_out() -> None:
    for pair in (("mystery",), ("6061", "mystery"), ("",)):
        choice = choose(*pair)
        assert (choice.weldable, choice.fillers) == ("unknown", ())
        assert "certificate" in choice.why


# --- over all pairs of the 34 alloys


@cache
def chosen(pair: tuple[str, str], **asked: Any) -> FillerChoice:
    """Return the choice for a pair; several tests look at the same 595."""
    return choose(*pair, **asked)


@pytest.fixture(scope="module")
def choices() -> dict[tuple[str, str], FillerChoice]:
    return {pair: chosen(pair) for pair in PAIRS}


def test_every_filler_is_listed_best_first_with_a_reason(
    choices: dict[tuple[str, str], FillerChoice],
) -> None:
    order = ("first_choice", "acceptable", "with_care", "do_not_use")
    for pair, choice in choices.items():
        assert {each.designation for each in choice.fillers} == set(FILLERS), pair
        ranks = [order.index(each.verdict) for each in choice.fillers]
        assert ranks == sorted(ranks), pair
        assert ranks.count(0) <= 1, pair
        for each in choice.fillers:
            assert source(each.source).title, pair
            assert each.reasons, pair
            assert all(reason.endswith(".") for reason in each.reasons), each.reasons
            assert set(each.properties.values()) <= set(GRADES), pair


def test_every_pair_that_may_be_welded_has_a_first_choice(
    choices: dict[tuple[str, str], FillerChoice],
) -> None:
    for pair, choice in choices.items():
        first = [each for each in choice.fillers if each.verdict == "first_choice"]
        assert bool(first) == (choice.weldable != "not_recommended"), pair


def test_the_order_of_the_two_alloys_does_not_matter(
    choices: dict[tuple[str, str], FillerChoice],
) -> None:
    for (alloy_a, alloy_b), choice in choices.items():
        turned = choose(alloy_b, alloy_a)
        assert turned.fillers == choice.fillers
        assert (turned.weldable, turned.why) == (choice.weldable, choice.why)


# The charts as carried over: what they name is kept, unless one of our own rules speaks against
# it at the base share of a fillet; the first choice always stands.
def test_the_charts_are_followed_unless_a_rule_speaks(
    choices: dict[tuple[str, str], FillerChoice],
) -> None:
    for pair, choice in choices.items():
        chart = CHARTED.get(frozenset(pair))
        if chart is None or chart.standing == "not_recommended":
            continue
        assert choice.fillers[0].designation == chart.first_choice, pair
        verdicts = {each.designation: each.verdict for each in choice.fillers}
        assert {verdicts[each] for each in chart.never} <= {"do_not_use"}, pair
        lowered = {each for each in chart.acceptable if verdicts[each] != "acceptable"}
        # 4043 and 4047 where 5052 draws the 2.0 % warning; 5554 where the base thins it.
        assert lowered <= {"4043", "4047", "5554"}, (pair, lowered)


def test_a_pair_that_no_chart_names_follows_by_rule_and_says_so() -> None:
    choice = choose("5456", "6005A")
    assert {each.source for each in choice.fillers} == {"rule"}
    assert choice.fillers[0].designation == "5356"
    assert any("welded as 5083 to 6063 is" in each for each in choice.fillers[0].reasons)


def test_a_filler_that_no_chart_names_is_never_more_than_with_care() -> None:
    assert offer(choose("6061"), "4010").verdict == "with_care"
    assert offer(choose("6061"), "4010").source == "rule"


# --- one offer says one thing


def percent(text: str, pattern: str) -> float | None:
    found = re.search(pattern.replace(" %", "\u00a0%"), text)
    return float(found[1]) if found else None


@pytest.mark.parametrize("weld", ["fillet", "square_groove", "v_groove"])
@pytest.mark.parametrize("process", ["GTAW", "GMAW"])
def test_the_reasons_of_an_offer_agree_on_the_share_of_base_metal(weld: Any, process: Any) -> None:
    """What is said of a share is what the crack verdict of that share is."""
    for pair in PAIRS[:: 1 if (weld, process) == ("fillet", "GTAW") else 9]:
        side_a, side_b = (ALLOYS[each].nominal for each in pair)
        for each in chosen(pair, weld=weld, process=process).fillers:
            text = " ".join(each.reasons)
            metal = FILLERS[each.designation].nominal
            clear = {
                share
                for pattern in (
                    r"at (\d+) % the weld is clear",
                    r"about (\d+) % base metal, the weld is clear",
                    r"up to (\d+) % base metal",
                    r"stays clear only up to (\d+) %",
                )
                if (share := percent(text, pattern))
            }
            doubtful = percent(text, r"about (\d+) % base metal, the weld is (?:close|in)")
            for share in clear:
                weld_metal = weld_composition(side_a, side_b, metal, share / 100)
                assert crack_line(weld_metal).verdict == "outside", (pair, each)
            if doubtful:
                weld_metal = weld_composition(side_a, side_b, metal, doubtful / 100)
                assert crack_line(weld_metal).verdict != "outside", (pair, each)
                assert all(share < doubtful for share in clear), (pair, each)
            of_shares = [e for e in each.reasons if "By estimate, at" in e or "stays clear" in e]
            assert len(of_shares) <= 1, (pair, each)


def test_the_color_that_is_promised_is_the_grade(
    choices: dict[tuple[str, str], FillerChoice],
) -> None:
    for pair in PAIRS[::5]:
        for each in chosen(pair, anodised_after=True).fillers:
            if any("close in color" in reason for reason in each.reasons):
                assert each.properties["anodised_match"] == "good", (pair, each)
    for choice in choices.values():
        assert not any("close in color" in text for each in choice.fillers for text in each.reasons)


# What differs between silicon fillers on 5052 is not what the rule on magnesium is about.
@pytest.mark.parametrize("pair", ["6061 5052", "5052"])
def test_alloy_r1_treats_silicon_fillers_alike(pair: str) -> None:
    choice = choose(*pair.split())
    for wire in ("4043", "4047", "4643", "4943", "4008"):
        assert offer(choice, wire).verdict == "with_care", wire


def test_what_a_filler_is_for_follows_the_service() -> None:
    warm = " ".join(offer(choose("5454", above_65_c=True), "5554").reasons)
    assert "5356" not in warm
    treated = choose("413.0", heat_treated_after=True)
    assert not any("treated" in text for each in treated.fillers for text in each.reasons)


def test_what_a_groove_weld_holds_is_said_of_a_groove() -> None:
    fillet, groove = (
        " ".join(offer(choose("5052", weld=weld), "5356").reasons)
        for weld in ("fillet", "v_groove")
    )
    assert "groove weld" not in fillet
    assert "groove weld" in groove


# --- what the tables do not hold


@pytest.mark.parametrize("alloy", ["380.0", "A380.0", "6060", "6005", "1050", "1070", "535.0"])
def test_an_alloy_that_was_named_is_not_asked_for_again(alloy: str) -> None:
    choice = choose(alloy)
    assert choice.weldable == "unknown"
    assert f"{alloy} is not in our tables" in choice.why
    assert "stamp" not in choice.why


@pytest.mark.parametrize("other", ["steel", "stainless", "304L", "copper", "A36", "brass"])
def test_another_metal_is_not_fused_to_aluminum(other: str) -> None:
    choice = choose("6061", other)
    assert (choice.weldable, choice.fillers) == ("not_recommended", ())
    assert "fusion welding does not join" in choice.why
