"""Cleaning: the check values of the preparation notes, and what must hold for any log."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.cases_cleaning import (
    BRUSH,
    CLEAN,
    DEGREASE,
    DRY,
    at,
    brushed,
    cleaned,
    gmaw,
    gtaw,
    metal,
    moment,
)
from tests.engine.contract import example
from tests.engine.judging import any_coupon, case_of, found, missing, severities
from weldlog.engine import cleaning
from weldlog.engine.findings import Finding
from weldlog.engine.school import SchoolRules

STEPS = ["strip_coating", "cut", "dress_edge", "deburr", "degrease", "dry", "remove_oxide", "wipe"]
STEPS += ["cover", "blow_off", "recut_rod", "other"]


def test_prep_C01_degrease_dry_brush_arc_raises_no_flag() -> None:
    """Source: Mathers 2002 p. 66, TM 5-5420-279-23 p. 1226 (order); read."""
    steps = [at("09:00", DEGREASE), at("09:05", DRY), at("09:10", BRUSH)]
    assert not found(cleaning, gtaw(cleaning=steps, arc_started_at=moment("09:40")))


def test_prep_C02_brushing_without_degreasing_is_stopped() -> None:
    """Source: Mathers 2002 p. 66, TM 5-5420-279-23 p. 1226; read."""
    coupon = cleaned(at("09:00", BRUSH), arc_started_at=moment("09:10"))
    assert severities(cleaning, coupon)["cleaning-degrease-missing"] == "stop"


def test_prep_C03_a_brush_last_used_on_carbon_steel_is_stopped() -> None:
    """Source: Mathers 2002 p. 66-67, TB 9-2510-242-40 p. 70; read."""
    coupon = brushed(tool_kept_for="shared_with_steel")
    assert severities(cleaning, coupon)["cleaning-brush-shared"] == "stop"


@pytest.mark.parametrize("kept_for", ["aluminium_only", "shared_with_steel", "unknown"])
@pytest.mark.parametrize("brush", ["carbon_steel_brush", "brass_brush"])
def test_a_brush_of_carbon_steel_or_brass_is_stopped_whoever_owns_it(
    brush: str, kept_for: str
) -> None:
    """Source: Mathers 2002 p. 66-67 (no carbon steel, brass or copper brushes); read."""
    said = severities(cleaning, brushed(tool=brush, tool_kept_for=kept_for))
    assert said[f"cleaning-{brush.replace('_', '-')}"] == "stop"


def test_prep_C04_an_arc_3_h_59_min_after_cleaning_is_fine() -> None:
    """Source: Mathers 2002 p. 68 (about 4 h); read."""
    steps = [at("09:00", DEGREASE), at("09:05", DRY), at("09:10", BRUSH)]
    coupon = gtaw(cleaning=steps, arc_started_at=moment("13:09"), covered_since_cleaning=True)
    assert not found(cleaning, coupon)


def test_prep_C05_five_hours_warn_and_the_next_day_everything_is_done_again() -> None:
    """Source: Mathers 2002 p. 68 (4 h, read); 8 h is common practice, no source."""
    steps = [at("09:00", DEGREASE), at("09:05", DRY), at("09:10", BRUSH)]
    later = gtaw(cleaning=steps, arc_started_at=moment("14:10"), covered_since_cleaning=True)
    next_day = later | {"arc_started_at": moment("09:10", day=15)}
    assert severities(cleaning, later) == {"cleaning-window": "warn"}
    assert severities(cleaning, next_day) == {"cleaning-redo": "stop"}


def test_the_school_sets_the_window() -> None:
    strict = SchoolRules(cleaning_window_h=1, cleaning_redo_h=2)
    coupon = gtaw(minutes_since_cleaning=90, covered_since_cleaning=True)
    said = found(cleaning, coupon, strict)
    assert said["cleaning-window"].limit == 1
    assert said["cleaning-window"].says.startswith("1\N{NO-BREAK SPACE}h 30\N{NO-BREAK SPACE}min")


def test_brushing_again_starts_the_wait_anew() -> None:
    """Notes, section 1.3: between 4 and 8 h, brush again and wipe; common practice, no source."""
    steps = [at("09:00", DEGREASE), at("09:05", DRY), at("09:10", BRUSH), at("14:00", BRUSH)]
    assert not found(cleaning, gtaw(cleaning=steps, arc_started_at=moment("14:10")))


def test_times_in_another_offset_are_compared_as_moments() -> None:
    brush = BRUSH | {"at": "2026-09-14T16:10:00+02:00"}
    coupon = cleaned(DEGREASE, DRY, brush, arc_started_at=moment("09:40"))
    assert not found(cleaning, coupon)


def test_an_arc_before_the_brush_asks_which_is_right_and_judges_no_wait() -> None:
    coupon = cleaned(DEGREASE, DRY, at("11:00", BRUSH), arc_started_at=moment("09:00"))
    assert set(found(cleaning, coupon)) == {"cleaning-times-disagree"}


def test_prep_C09_a_wire_box_that_got_wet_inside_is_scrapped() -> None:
    """Source: Lincoln Electric aluminum guide p. 25; read."""
    wire = {"designation": "5356", "form": "spool", "condition": "wet"}
    assert severities(cleaning, gmaw(filler=wire))["cleaning-spool-wet"] == "stop"


def test_prep_C10_a_plasma_cut_edge_of_6061_dressed_by_1_mm_is_warned_of() -> None:
    """Source: millerwelds.com and FAB&MM 2013 (1/8 in); read."""
    coupon = gtaw(base_metals=[metal(edge="plasma", edge_dressed_mm=1)])
    edge = found(cleaning, coupon)["cleaning-edge-not-dressed"]
    assert (edge.severity, edge.measured, edge.limit) == ("warn", 1, 3)


@pytest.mark.parametrize("alloy", ["5052", "3003", "1100"])
def test_a_plasma_cut_edge_of_other_series_needs_no_dressing(alloy: str) -> None:
    """Source: FAB&MM 2013 names 2xxx, 6xxx and 7xxx only; read."""
    coupon = gtaw(base_metals=[metal(alloy=alloy, edge="plasma", edge_dressed_mm=0)])
    assert not found(cleaning, coupon)


@pytest.mark.parametrize(
    ("coupon", "severity"),
    [
        (cleaned(DEGREASE, DRY), "warn"),
        (cleaned(DEGREASE, DRY, polarity="DCEN", shielding_gas="helium"), "stop"),
        (gmaw(cleaning=[DEGREASE, DRY]), "stop"),
        (cleaned(DEGREASE, DRY, base_metals=[metal(stored="outdoors")]), "stop"),
    ],
)
def test_oxide_left_on_stops_where_the_arc_does_not_clean_or_the_film_is_thick(
    coupon: dict[str, object], severity: str
) -> None:
    """Notes, row P08: GMAW, DCEN and stained stock block, bright stock on AC warns."""
    assert severities(cleaning, coupon)["cleaning-oxide-missing"] == severity


def test_a_later_wipe_does_not_stand_in_for_degreasing() -> None:
    """Notes, section 1.1: degreasing first is compulsory, a second wipe is allowed."""
    wipe = {"step": "wipe", "agent": "acetone"}
    assert "cleaning-degrease-missing" in found(cleaning, cleaned(BRUSH, wipe, DRY))
    assert not found(cleaning, cleaned(DEGREASE, DRY, BRUSH, wipe, DRY))


def test_one_stop_is_enough_where_nothing_was_degreased() -> None:
    said = severities(cleaning, cleaned(BRUSH))
    assert [rule for rule, severity in said.items() if severity == "stop"] == [
        "cleaning-degrease-missing"
    ]


def test_nothing_cleaned_is_a_statement_and_not_asked_is_none() -> None:
    nothing = found(cleaning, gtaw(cleaning=[]))
    assert {rule for rule in nothing if rule.endswith("-missing")} == {
        "cleaning-degrease-missing",
        "cleaning-oxide-missing",
    }
    not_asked = gtaw()
    del not_asked["cleaning"]
    assert not found(cleaning, not_asked)
    assert "cleaning" in missing(cleaning, not_asked)


def test_an_etch_is_stopped_elsewhere_and_asked_for_no_tool() -> None:
    """Common practice, no source: an etch has no tool that anybody could name."""
    etched = {"step": "remove_oxide", "agent": "caustic_etch"}
    assert "cleaning.tool" not in missing(cleaning, cleaned(DEGREASE, DRY, etched))
    assert "cleaning.tool" in missing(cleaning, cleaned(DEGREASE, DRY, {"step": "remove_oxide"}))


@pytest.mark.parametrize("cloth", ["lint_free_cloth", "shop_rag", "compressed_air"])
def test_a_cloth_takes_off_no_oxide(cloth: str) -> None:
    """Source: Armao, Preweld cleaning (a solvent wipe removes no oxide); read."""
    assert severities(cleaning, brushed(tool=cloth))["cleaning-oxide-wiped"] == "warn"
    wiped = gmaw(cleaning=[DEGREASE, DRY, BRUSH | {"tool": cloth}])
    assert severities(cleaning, wiped)["cleaning-oxide-wiped"] == "stop"
    assert "cleaning-oxide-wiped" not in found(cleaning, cleaned(*CLEAN, BRUSH | {"tool": cloth}))


@pytest.mark.parametrize("stored", ["outdoors", "immersed"])
@pytest.mark.parametrize(
    ("tool", "enough"),
    [
        ("stainless_hand_brush", False),
        ("power_wire_wheel", False),
        ("scraper", True),
        ("file", True),
        ("mill", True),
        ("flap_disc", True),
    ],
)
def test_metal_that_stood_in_the_wet_wants_more_than_a_brush(
    stored: str, tool: str, enough: bool
) -> None:
    """Source: IBM, J. Electrochem. Soc. 1981 (film grown moist is the thicker); read. What takes
    it off is common practice, no source."""
    coupon = brushed(tool=tool) | {"base_metals": [metal(stored=stored)]}
    said = severities(cleaning, coupon).get("cleaning-hydrated-oxide")
    assert said == (None if enough else "warn")


def test_after_a_disc_both_degreasing_and_brushing_are_done_again() -> None:
    """Source: millerwelds.com and FAB&MM 2013 (coarse disc), read; that it leaves grit is common
    practice, no source."""
    disc = {"step": "dress_edge", "tool": "flap_disc"}
    assert "cleaning-grit-left" in found(cleaning, cleaned(*CLEAN, disc, BRUSH))
    assert "cleaning-grit-left" in found(cleaning, cleaned(*CLEAN, disc, DEGREASE, DRY))
    assert not found(cleaning, cleaned(disc, *CLEAN))


def test_an_edge_dressed_enough_needs_no_alloy_and_an_unknown_alloy_is_asked_for() -> None:
    """Source: FAB&MM 2013 (3 mm on 2xxx, 6xxx and 7xxx); read."""
    unknown = {"alloy": "unknown", "edge": "plasma"}
    enough = gtaw(base_metals=[metal(**unknown, edge_dressed_mm=3)])
    little = gtaw(base_metals=[metal(**unknown, edge_dressed_mm=1)])
    assert not found(cleaning, little)
    assert "base_metals.alloy" in missing(cleaning, little)
    assert "base_metals.alloy" not in missing(cleaning, enough)


def test_every_run_and_every_restart_is_brushed() -> None:
    """Source: TM 5-5420-279-23 Appendix K (mandatory), TM 9-2350-247-20-3 (each pass); read."""
    one = gtaw(run_list=[{}, {"interpass_brushed": True}, {"interpass_brushed": False}])
    restart = gtaw(runs=1, stops=1, interpass_brushed=False, filler=None)
    assert severities(cleaning, one) == {"cleaning-between-runs": "warn"}
    assert severities(cleaning, restart) == {"cleaning-between-runs": "warn"}
    all_but_one = gtaw(run_list=[{}, {"interpass_brushed": True}, {}])
    all_of_them = gtaw(run_list=[{}, *[{"interpass_brushed": True}] * 2])
    assert "interpass_brushed" in missing(cleaning, all_but_one)
    assert "interpass_brushed" not in missing(cleaning, all_of_them)


def test_what_decides_and_was_not_logged_is_asked_for() -> None:
    """Common practice, no source: without the agent nobody can tell whether it was dangerous."""
    assert "cleaning.agent" in missing(cleaning, cleaned({"step": "degrease"}, DRY, BRUSH))
    cut = gtaw(base_metals=[metal(edge="abrasive_disc")])
    assert "base_metals.disc_condition" in missing(cleaning, cut)
    assert "base_metals.coating" in missing(cleaning, gtaw(base_metals=[{"alloy": "6061"}]))


def test_no_filler_asks_for_no_condition_of_the_filler() -> None:
    assert "filler.condition" not in missing(cleaning, gtaw(filler=None))
    assert "filler.condition" in missing(cleaning, gtaw(filler={"designation": "5356"}))


def test_the_examples_of_the_contract() -> None:
    assert not found(cleaning, example("fillet-clean"))
    faults = severities(cleaning, example("fillet-faults"))
    assert faults["cleaning-degrease-missing"] == "stop"
    assert faults["cleaning-carbon-steel-brush"] == "stop"
    slip = severities(cleaning, example("gmaw-unit-slip"))
    assert slip["cleaning-degrease-missing"] == slip["cleaning-oxide-missing"] == "stop"


step_lists = st.lists(st.sampled_from(STEPS).map(lambda step: {"step": step}), max_size=6)


@given(steps=step_lists, more=st.sampled_from(STEPS), place=st.integers(0, 6))
def test_one_more_step_never_adds_a_missing_one(
    steps: list[dict[str, str]], more: str, place: int
) -> None:
    longer = [*steps[:place], {"step": more}, *steps[place:]]

    def lacking(done: list[dict[str, str]]) -> set[str]:
        return {rule for rule in found(cleaning, cleaned(*done)) if rule.endswith("-missing")}

    # What was wiped on has to dry, so a drying is missing only where something was.
    assert lacking(longer) - {"cleaning-dry-missing"} <= lacking(steps)
    assert more == "degrease" or lacking(longer) <= lacking(steps)


@given(before=step_lists)
def test_doing_all_of_it_at_last_leaves_nothing_missing_or_out_of_order(
    before: list[dict[str, str]],
) -> None:
    said = set(found(cleaning, cleaned(*before, *CLEAN)))
    assert not {rule for rule in said if rule.endswith(("-missing", "-late"))}


@settings(deadline=None)
@given(
    coupon=any_coupon(
        "cleaning",
        "base_metals",
        "filler",
        "polarity",
        "run_list",
        "runs",
        "interpass_brushed",
        "arc_started_at",
        "minutes_since_cleaning",
        "covered_since_cleaning",
        "air_c",
        "metal_c",
        "relative_humidity_percent",
        "gloves_clean",
        "steel_work_nearby",
        "back_side_cleaned",
    )
)
def test_any_coupon_of_the_contract_is_judged_without_an_exception(coupon: object) -> None:
    for each in cleaning.check(case_of(coupon)):
        assert each.says if isinstance(each, Finding) else each.missing
