"""Each row of the preparation notes that a coupon can state, through the whole review.

Rows P01 to P26 (cleaning), T01 to T31 (set-up) and F01 to F21 (safety). A row names its source in
``weldlog/engine/tables/cleaning_steps.tsv``, ``setup_rules.tsv`` and ``cautions.tsv``.
"""

from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.cases_cleaning import (
    BRUSH,
    CLEAN,
    DEGREASE,
    DRY,
    Document,
    cleaned,
    gmaw,
    gtaw,
    metal,
    rod,
)
from tests.engine.judging import any_coupon, found, severities
from tests.engine.preparation_rows import JUDGED
from weldlog.engine import cleaning, safety, setup
from weldlog.engine.cleaning_done import Done
from weldlog.engine.conditions import condition
from weldlog.engine.facts import read
from weldlog.engine.guide_tables import (
    CLEANING_METHODS,
    CLEANING_WINDOWS,
    OXIDE_FACTS,
    PREHEAT_CAPS,
    PREPARATION_STEPS,
    SETUP_RULES,
)
from weldlog.engine.review import RULES, review
from weldlog.engine.safety import CAUTIONS
from weldlog.engine.school import DEFAULT, SchoolRules
from weldlog.engine.sources import SOURCES
from weldlog.engine.tables import rows
from weldlog.engine.units import to_base


def said(document: Document) -> dict[str, str]:
    """Return how loudly each rule of a whole review spoke."""
    return {each.rule.id: each.severity for each in review(read(document)).findings}


@pytest.mark.parametrize(
    ("row", "document", "rule", "severity"),
    JUDGED,
    ids=[f"{row}-{rule}" for row, _, rule, _ in JUDGED],
)
def test_a_row_that_was_not_kept_is_said_as_loudly_as_the_notes_say(
    row: str, document: Document, rule: str, severity: str
) -> None:
    assert said(document)[rule] == severity


# Rows that no member of a coupon can state, or that other families judge by measured size.
GUIDE_ONLY = {"P21", "T10", "T29", "T30", "T31"}


def test_every_row_is_judged_or_text_of_the_guide_and_names_rules_that_are_there() -> None:
    judged = {each.id: each.judged for each in PREPARATION_STEPS}
    judged |= {each.id: each.judged for each in SETUP_RULES}
    assert set(judged) == {f"P{number:02}" for number in range(1, 27)} | {
        f"T{number:02}" for number in range(1, 32) if number not in (5, 12)
    }
    assert {row for row, rules in judged.items() if not rules} == GUIDE_ONLY
    for row, _, rule, _ in JUDGED:
        assert row.startswith("F") or rule in judged[row]
    for rules in (*judged.values(), *(each.judged for each in CLEANING_METHODS)):
        assert set(rules) <= set(RULES)


def test_every_rule_of_the_tables_is_named_by_the_rows_that_it_judges() -> None:
    judged = {each.id: each.judged for each in PREPARATION_STEPS}
    judged |= {each.id: each.judged for each in SETUP_RULES}
    tables = ["cleaning_handling", "cleaning_stock", "cleaning_tools", "safety_setup"]
    tables += ["setup_current", "setup_gas", "setup_torch", "setup_wire"]
    for row in (each for table in tables for each in rows(f"{table}.tsv")):
        for number in row["row"].split():
            assert number.startswith("F") or row["rule"] in judged[number]


def test_each_guide_row_has_a_source_and_its_standing() -> None:
    tables = (PREPARATION_STEPS, CLEANING_METHODS, OXIDE_FACTS, CLEANING_WINDOWS, PREHEAT_CAPS)
    for each in (row for table in (*tables, SETUP_RULES) for row in table):
        assert set(each.sources) <= set(SOURCES)
        assert each.standing == SOURCES[each.sources[0]].standing


def test_the_order_of_the_steps_runs_forward() -> None:
    places = {each.id: place for place, each in enumerate(PREPARATION_STEPS)}
    for each in PREPARATION_STEPS:
        assert not each.after or places[each.after] < places[each.id]
        assert not each.before or places[each.id] < places[each.before]


def test_what_is_remembered_of_a_step_and_a_side_is_all_that_their_tables_look_at() -> None:
    def members(table: str, column: str = "when") -> set[str]:
        texts = [row[column] for row in rows(table) if row[column]]
        return {name for text in texts for name in condition(text).members}

    looked_at = members("cleaning_tools.tsv") | members("safety_steps.tsv")
    assert looked_at | members("cautions.tsv", "step") <= set(Done._fields)
    sides = members("cleaning_stock.tsv") | members("cautions.tsv", "metal")
    assert sides <= {"coating", "edge", "disc_condition"}


# --- check values of section 8 that are not tested beside their family


def test_prep_C37_35_cubic_feet_an_hour_are_16_5_liters_a_minute() -> None:
    """Source: calc; TM 9-3431-258-14&P p. 13 starts GMAW there, read. Oracle: pint."""
    flow = to_base(35, "ft3/h")
    assert flow == pytest.approx(16.5, abs=0.05)
    asked = pint.UnitRegistry().Quantity(35, "ft^3/hour").to("liter/minute")
    assert flow == pytest.approx(asked.magnitude)
    assert not found(setup, gmaw(gas_flow_l_min=flow))


@pytest.mark.parametrize(("process", "least"), [("gtaw", "8"), ("gmaw", "10")])
def test_prep_C38_shade_8_serves_gtaw_at_120_a_and_is_too_light_for_gmaw(
    process: str, least: str
) -> None:
    """Source: 29 CFR 1910.133 (GTAW 50 to 150 A: 8; GMAW 60 to 500 A: 10); read."""
    light = next(each for each in CAUTIONS if each.id == f"arc-light-{process}")
    assert f"Filter shade at least {least} " in light.says


def test_heat_CV47_post_flow_of_15_s_is_enough_at_150_a() -> None:
    """1 s for each 10 A; common practice, no source."""
    assert not found(setup, gtaw(current_a=150, postflow_s=15))
    short = severities(setup, gtaw(current_a=150, postflow_s=14))
    assert short == {"setup-postflow-short": "advise"}


def test_heat_CV49_a_printed_row_of_3_2_mm_raises_no_flag() -> None:
    """Source: NIMI, CITS Welder Trade Theory p. 178, 3.2 mm butt, tungsten 1.6 mm; read."""
    coupon = gtaw(
        joint="butt", weld="square_groove", current_a=135, voltage_v=15,
        travel_speed_mm_s=5, gas_flow_l_min=7, filler=rod(diameter_mm=2.4),
        tungsten={"diameter_mm": 1.6},
    )  # fmt: skip
    assert not found(setup, coupon)


def test_the_thinnest_printed_row_raises_no_flag_for_its_gas() -> None:
    """Source: Mathers 2002 Tables 6.2 and 6.3, 0.8 mm: 55 A, 3.4 L/min; read."""
    coupon = gtaw(base_metals=[metal(thickness_mm=0.8)], current_a=55, gas_flow_l_min=3.4)
    assert not found(setup, coupon)


@pytest.mark.parametrize(
    ("alloy", "member", "celsius", "severity"),
    [
        ("5086", "preheat_c", 65, None),  # NAVSEA Table V: out of 66 to 204
        ("5086", "preheat_c", 66, "warn"),
        ("5052", "preheat_c", 66, None),
        ("6061", "preheat_c", 110, None),  # common practice, no source
        ("6061", "preheat_c", 111, "warn"),
        ("3003", "preheat_c", 120, "warn"),
        ("6061", "preheat_c", 121.1, "warn"),  # Armao: up to 250 °F
        ("5086", "preheat_c", 121.2, "stop"),
        ("7005", "preheat_c", 100, None),  # migal.co: 7xxx 100 and 80
        ("7005", "preheat_c", 101, "warn"),
        ("7005", "interpass_c", 80, None),
        ("7005", "interpass_c", 81, "warn"),
        ("6061", "interpass_c", 100, None),  # migal.co: 6xxx 100
        ("6061", "interpass_c", 101, "warn"),
        ("5052", "interpass_c", 121.1, None),  # Indalco: up to 121
        ("5052", "interpass_c", 121.2, "stop"),
    ],
)
def test_the_caps_on_warmth(alloy: str, member: str, celsius: float, severity: str | None) -> None:
    """Source: NAVSEA S9074-AR-GIB-010/278 Table V, migal.co, Armao, Indalco; read."""
    coupon = gtaw(base_metals=[metal(alloy=alloy)], **{member: celsius})
    assert list(severities(setup, coupon).values()) == ([severity] if severity else [])


# --- what must hold for any log

NAMES = ["strip_coating", "cut", "dress_edge", "deburr", "degrease", "dry", "remove_oxide"]
NAMES += ["wipe", "cover", "blow_off", "recut_rod", "other"]
AGENTS = ["acetone", "alkaline", "alcohol", "chlorinated", "other", "none"]
TOOLS = ["stainless_hand_brush", "carbon_steel_brush", "flap_disc", "scraper", "shop_rag"]
full_step = st.fixed_dictionaries(
    {"step": st.sampled_from(NAMES)},
    optional={"agent": st.sampled_from(AGENTS), "tool": st.sampled_from(TOOLS)},
)
full_steps = st.lists(full_step, max_size=6)


@given(steps=full_steps, more=full_step, place=st.integers(0, 6))
def test_one_more_step_of_any_kind_never_adds_a_missing_one(
    steps: list[Document], more: Document, place: int
) -> None:
    def lacking(done: list[Document]) -> set[str]:
        return {rule for rule in found(cleaning, cleaned(*done)) if rule.endswith("-missing")}

    assert lacking([*steps[:place], more, *steps[place:]]) <= lacking(steps)


extra = st.tuples(st.integers(0, 3), st.sampled_from(["wipe", "cover"]))


@given(more=st.lists(extra, max_size=4))
def test_a_good_sequence_stays_quiet_with_any_wipe_and_cover(more: list[tuple[int, str]]) -> None:
    steps = list(CLEAN)
    for place, name in more:
        steps.insert(place, {"step": name, "tool": "lint_free_cloth"})
    assert not said(cleaned(*steps))


@settings(deadline=None)
@given(
    coupon=any_coupon("cleaning", "base_metals", "tungsten", "runs", "stops").flatmap(
        lambda coupon: st.tuples(st.just(coupon), st.permutations(list(coupon.items())))
    )
)
def test_the_order_of_members_and_unrelated_facts_change_nothing(coupon: Any) -> None:
    stated, mixed = coupon
    unrelated = {"position": "PB", "penetrant": "clear", "plate_length_mm": 150, "id": "x"}
    for family in (cleaning, setup, safety):
        assert found(family, dict(mixed) | unrelated) == found(family, stated)


@given(one=st.sampled_from(["none", "paint", "unknown"]), other=st.sampled_from(["none", "plated"]))
def test_which_side_is_named_first_changes_no_rule(one: str, other: str) -> None:
    sides = [metal(coating=one), metal(coating=other, stored="immersed")]
    there = set(said(gtaw(base_metals=sides)))
    assert there == set(said(gtaw(base_metals=sides[::-1])))


ANY_MOMENT = (
    st.datetimes()
    .map(lambda each: each.replace(microsecond=0))
    .flatmap(
        lambda moment: st.integers(-14, 14).map(
            lambda hours: moment.replace(tzinfo=timezone(timedelta(hours=hours))).isoformat()
        )
    )
)


@given(times=st.lists(ANY_MOMENT | st.none(), min_size=4, max_size=4))
def test_times_in_any_order_never_raise_and_a_wait_is_judged_only_forward(
    times: list[str | None],
) -> None:
    steps = [
        step | ({"at": time} if time else {}) for step, time in zip(CLEAN, times, strict=False)
    ]
    coupon = cleaned(*steps, **({"arc_started_at": times[3]} if times[3] else {}))
    judged = set(found(cleaning, coupon))
    known = [datetime.fromisoformat(time) for time in times if time]
    assert ("cleaning-times-disagree" in judged) == (known != sorted(known))
    assert judged <= {"cleaning-times-disagree", "cleaning-window", "cleaning-redo"}


@given(
    window_min=st.integers(1, 600),
    more_min=st.integers(1, 600),
    minutes=st.integers(0, 1300),
    by_clock=st.booleans(),
)
def test_the_school_s_limits_hold_to_the_minute_and_equality_is_inside(
    window_min: int, more_min: int, minutes: int, by_clock: bool
) -> None:
    redo_min = window_min + more_min
    # Hours as a school types them: to a hundredth
    school = SchoolRules(
        cleaning_window_h=round(window_min / 60, 2), cleaning_redo_h=round(redo_min / 60, 2)
    )
    brushed_at = datetime(2026, 9, 14, 8, tzinfo=UTC)
    coupon = gtaw(minutes_since_cleaning=minutes, covered_since_cleaning=True)
    if by_clock:
        arc = brushed_at + timedelta(minutes=minutes)
        steps = [DEGREASE, DRY, BRUSH | {"at": brushed_at.isoformat()}]
        coupon |= {"cleaning": steps, "arc_started_at": arc.isoformat()}
    wanted = {"cleaning-redo"} if minutes > redo_min else set()
    wanted = wanted or ({"cleaning-window"} if minutes > window_min else set())
    assert set(found(cleaning, coupon, school)) == wanted


@pytest.mark.parametrize("minutes", [0, 1, 239, 240])
def test_up_to_four_hours_nothing_is_said(minutes: int) -> None:
    """Source: Mathers 2002 p. 68 (about 4 h); read."""
    coupon = gtaw(minutes_since_cleaning=minutes, covered_since_cleaning=True)
    assert not found(cleaning, coupon, DEFAULT)
