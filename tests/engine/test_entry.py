"""Plausible entries, and slips of a unit that are suggested and never corrected."""

from collections.abc import Iterator
from dataclasses import is_dataclass
from typing import Any, get_args, get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.cases_entry import GMAW, GTAW
from tests.engine.contract import example
from weldlog.engine import entry
from weldlog.engine.facts import Facts, read
from weldlog.engine.findings import Finding
from weldlog.engine.possible import DOMAINS, impossible, without
from weldlog.engine.review import RULES, review
from weldlog.engine.units import to_base

FAR_OFF_MM_S = to_base(8, "mm/min")


def entries(document: dict[str, Any]) -> dict[str, Finding]:
    """Return the entry findings of a coupon by rule id."""
    found = review(read(document)).findings
    return {each.rule.id: each for each in found if each.rule.id.startswith("entry-")}


# --- no false alarm


@pytest.mark.parametrize(
    "document",
    [
        # heat-S19, 3.2 mm butt: 135 A, 15 V, 300 mm/min, 7 L/min, 2.4 mm rod
        pytest.param(GTAW, id="heat_CV49"),
        # heat-S25, 5 mm fillet: 190 A, 22 V, 1.2 mm, 10.8 m/min, 560 mm/min
        pytest.param(GMAW, id="heat_CV50"),
        pytest.param(example("fillet-clean"), id="fillet-clean"),
    ],
)
def test_published_settings_are_not_questioned(document: dict[str, Any]) -> None:
    said = [each.rule.id for each in review(read(document)).findings]
    assert [rule for rule in said if rule.startswith(("entry-", "heat-"))] == []


@pytest.mark.parametrize(
    ("thickness_mm", "low_a", "high_a"),
    [
        (0.8, 55, 55),
        (1.6, 60, 95),
        (3.0, 90, 180),
        (3.2, 125, 160),
        (4.8, 180, 240),
        (6.0, 200, 280),
    ],
)  # heat-S24, heat-S19 to S22, heat-S50 with heat-S23, and heat-S55
def test_printed_currents_suit_their_thickness(
    thickness_mm: float, low_a: float, high_a: float
) -> None:
    for current in (low_a, high_a):
        plate = {"base_metals": [{"thickness_mm": thickness_mm}], "current_a": current}
        assert "entry-current-for-thickness" not in entries({"process": "GTAW", **plate})


# --- slips


def suggestion(rule: str, **members: Any) -> dict[str, Any]:
    """Return what a rule suggests for a coupon with these members."""
    found = entries({"process": "GTAW", **members})[rule].suggestion
    assert found is not None
    return dict(found)


def test_heat_CV48_inches_a_minute_in_a_millimeter_field() -> None:
    found = suggestion("entry-travel-speed", travel_speed_mm_s=FAR_OFF_MM_S)
    assert found == {
        "field": "travel_speed_mm_s",
        "value": pytest.approx(to_base(203.2, "mm/min")),
        "typed_as": "in/min",
    }


def test_example_of_the_contract_suggests_the_slip_and_corrects_nothing() -> None:
    document = example("gmaw-unit-slip")
    found = review(read(document))
    assert found.figures.travel_speed_mm_s == document["travel_speed_mm_s"]
    assert entries(document)["entry-travel-speed"].suggestion == {
        "field": "travel_speed_mm_s",
        "value": pytest.approx(8.4667, abs=1e-3),
        "typed_as": "in/min",
    }


@pytest.mark.parametrize(
    ("member", "value", "meant", "typed_as", "process"),
    [
        ("travel_speed_mm_s", to_base(2, "mm/min"), 2, "mm/s", "GTAW"),
        ("travel_speed_mm_s", to_base(80, "mm/min"), to_base(80, "cm/min"), "cm/min", "GMAW"),
        ("travel_speed_mm_s", to_base(250, "in/min"), to_base(250, "mm/min"), "mm/min", "GTAW"),
        ("wire_feed_mm_s", to_base(0.2, "m/min"), to_base(0.2, "m/s"), "m/s", "GMAW"),
        ("wire_feed_mm_s", to_base(400, "m/min"), to_base(400, "in/min"), "in/min", "GMAW"),
        ("gas_flow_l_min", 25, to_base(25, "ft3/h"), "ft3/h", "GTAW"),
    ],
)  # the slips of heat dossier 3.3
def test_slip_is_suggested(
    member: str, value: float, meant: float, typed_as: str, process: str
) -> None:
    (found,) = (each for each in entries({"process": process, member: value}).values())
    assert found.suggestion == {
        "field": member,
        "value": pytest.approx(meant),
        "typed_as": typed_as,
    }


# The other units that a form offers for the two: 300 and 12 with mm/s chosen, 14 with in/min.
@pytest.mark.parametrize(
    ("member", "value", "meant", "typed_as", "process"),
    [
        ("travel_speed_mm_s", 300, 5, "mm/min", "GTAW"),
        ("wire_feed_mm_s", 12, 200, "m/min", "GMAW"),
        ("wire_feed_mm_s", to_base(14, "in/min"), to_base(14, "m/min"), "m/min", "GMAW"),
    ],
)
def test_slip_from_another_unit_of_the_form_is_suggested(
    member: str, value: float, meant: float, typed_as: str, process: str
) -> None:
    (found,) = entries({"process": process, member: value}).values()
    assert found.suggestion == {
        "field": member,
        "value": pytest.approx(meant),
        "typed_as": typed_as,
    }


def test_cm_slip_yields_to_inches_that_come_first() -> None:
    found = suggestion("entry-travel-speed", travel_speed_mm_s=to_base(10, "mm/min"))
    assert found["typed_as"] == "in/min"


@pytest.mark.parametrize(
    ("typed", "meant", "typed_as"), [(0.125, 3.175, "in"), (81.28, 3.2, "mm")]
)  # 0.125 typed as mm, 3.2 typed as in
def test_thickness_slip_names_the_plate(typed: float, meant: float, typed_as: str) -> None:
    plates = [{"thickness_mm": 3.2}, {"thickness_mm": typed}]
    found = suggestion("entry-thickness", base_metals=plates)
    assert found == {
        "field": "base_metals[1].thickness_mm",
        "value": pytest.approx(meant),
        "typed_as": typed_as,
    }


def test_minutes_typed_as_seconds_are_found_through_the_speed() -> None:
    found = suggestion("entry-travel-speed", weld_length_mm=150, arc_time_s=0.6)
    assert found == {"field": "arc_time_s", "value": pytest.approx(36), "typed_as": "min"}


def test_inches_typed_as_millimeters_are_found_through_the_speed() -> None:
    found = suggestion("entry-travel-speed", weld_length_mm=6, arc_time_s=36)
    assert found == {"field": "weld_length_mm", "value": pytest.approx(152.4), "typed_as": "in"}


def test_low_electrode_negative_share_asks_for_the_other_one() -> None:
    found = suggestion("entry-en-or-ep", ac={"en_percent": 30})
    assert found == {"field": "ac.en_percent", "value": 70, "typed_as": "EP %"}


def test_a_speed_that_no_slip_explains_gets_no_suggestion() -> None:
    found = entries({"process": "GTAW", "travel_speed_mm_s": to_base(460, "mm/min")})
    assert found["entry-travel-speed"].suggestion is None


# --- how loudly


@pytest.mark.parametrize(
    ("speed_mm_min", "severity"), [(59, "warn"), (14, "stop"), (451, "warn"), (1501, "stop")]
)  # soft 60 to 450, hard 15 to 1500 mm/min, heat dossier 3.3
def test_outside_soft_warns_and_outside_hard_stops(speed_mm_min: float, severity: str) -> None:
    found = entries({"process": "GTAW", "travel_speed_mm_s": to_base(speed_mm_min, "mm/min")})
    assert found["entry-travel-speed"].severity == severity


@pytest.mark.parametrize(
    ("percent", "severity"), [(4, None), (6, "warn"), (19, "warn"), (21, "stop")]
)
def test_two_speeds_that_disagree(percent: float, severity: str | None) -> None:
    document = {"process": "GTAW", "travel_speed_mm_s": 5, "weld_length_mm": 5 + percent / 20}
    found = entries(document | {"arc_time_s": 1}).get("entry-travel-speed-disagrees")
    assert (found.severity if found else None) == severity


@pytest.mark.parametrize(
    ("flow", "severity"), [(1.5, "stop"), (3, None), (17, "advise"), (40, "stop")]
)
def test_gas_flow_is_left_to_the_set_up_rules_between_the_hard_limits(
    flow: float, severity: str | None
) -> None:
    found = entries({"process": "GTAW", "gas_flow_l_min": flow}).get("entry-gas-flow")
    assert (found.severity if found else None) == severity


def test_one_slip_is_asked_about_once() -> None:
    assert set(entries(GMAW | {"wire_feed_mm_s": to_base(425, "m/min")})) == {"entry-wire-feed"}
    assert set(entries(GMAW | {"travel_speed_mm_s": FAR_OFF_MM_S})) == {"entry-travel-speed"}


@pytest.mark.parametrize(
    ("members", "asked"),
    [
        ({"base_metals": [{"thickness_mm": 0.125}]}, "entry-thickness"),
        ({"filler": {"designation": "4043", "diameter_mm": 60.96}}, "entry-filler-diameter"),
        ({"current_a": 1350}, "entry-current"),
        ({"current_a": 13.5}, "entry-current-for-thickness"),
    ],
)
def test_what_follows_from_one_wrong_number_is_not_asked_about_again(
    members: dict[str, Any], asked: str
) -> None:
    assert set(entries(GTAW | members)) == {asked}


# Heat dossier 3.3: the usual volts and flows are those of argon; helium has a longer, hotter arc
# and needs more flow (messer.rs TIG, Welding of aluminium Table 6.5: 14 to 20 V on DCEN alone).
@pytest.mark.parametrize("gas", ["helium", "argon_helium"])
def test_volts_and_flow_of_helium_are_not_held_against_those_of_argon(gas: str) -> None:
    hot = GTAW | {"voltage_v": 22, "gas_flow_l_min": 20}
    assert set(entries(hot)) == {"entry-voltage", "entry-gas-flow"}
    assert entries(hot | {"shielding_gas": gas}) == {}
    assert set(entries(hot | {"shielding_gas": gas, "voltage_v": 60})) == {"entry-voltage"}


def test_a_run_is_named_by_its_place() -> None:
    run = {"current_a": 135, "voltage_v": 14, "travel_speed_mm_s": 5}
    found = entries({"process": "GTAW", "run_list": [run, run | {"voltage_v": 50}]})
    assert found["entry-voltage"].fields == ("run_list[1].voltage_v",)


# --- what cannot be


@pytest.mark.parametrize(
    ("member", "value"),
    [
        ("travel_speed_mm_s", 0),
        ("current_a", -1),
        ("current_a", 1e308),
        ("preheat_c", -300),
        ("relative_humidity_percent", 140),
        ("gas_flow_l_min", -0.1),
    ],
)
def test_impossible_entry_stops_and_counts_as_not_logged(member: str, value: float) -> None:
    found = review(read({"process": "GTAW", member: value}))
    stops = [each for each in found.findings if each.fields == (member,)]
    assert [(each.rule.id, each.severity) for each in stops] == [("entry-not-possible", "stop")]
    assert found.figures == review(read({"process": "GTAW"})).figures


@pytest.mark.parametrize(
    ("member", "value"), [("gas_flow_l_min", 0), ("air_c", -10), ("torch_angle_deg", -15)]
)
def test_zero_flow_frost_and_dragging_can_be(member: str, value: float) -> None:
    assert "entry-not-possible" not in entries({"process": "GTAW", member: value})


def test_an_impossible_entry_inside_a_list_is_named_with_its_place() -> None:
    facts = read({"process": "GTAW", "imperfections": [{"number": "104"}, {"number": "2017"}]})
    bad = read(
        {"process": "GTAW", "imperfections": [{"number": "104"}, {"number": "2017", "size_mm": -1}]}
    )
    (number,) = impossible(bad)
    assert number.path == "imperfections[1].size_mm"
    assert without(bad, (number,)) == facts


@given(st.floats(-1e12, 1e12, allow_nan=False))
def test_leaving_out_what_cannot_be_leaves_the_rest_as_it_was(value: float) -> None:
    members: dict[str, Any] = {"current_a": value, "air_c": value, "ac": {"en_percent": value}}
    facts = read({"process": "GTAW", **members})
    left_out = {each.path for each in impossible(facts)}
    kept = {name: each for name, each in members.items() if name not in left_out}
    if "ac.en_percent" in left_out:
        kept["ac"] = {}
    assert without(facts, impossible(facts)) == read({"process": "GTAW", **kept})
    assert impossible(without(facts, impossible(facts))) == ()


# --- how it is said


def said(rule: str, **members: Any) -> str:
    """Return the sentence of a rule, with plain spaces."""
    return entries({"process": "GTAW", **members})[rule].says.replace("\u00a0", " ")


def test_a_question_about_an_entry_says_so_first_and_in_both_unit_systems() -> None:
    sentence = said("entry-travel-speed", travel_speed_mm_s=to_base(500, "in/min"))
    assert sentence.startswith(
        "Check the entry: a travel speed of 12 700 mm/min (500 in/min) is unusual for GTAW. "
        "About 60 to 450 mm/min (2.4 to 18 in/min) is usual"
    )


@pytest.mark.parametrize("rule", [each.id for each in entry.RULES])
def test_every_question_about_an_entry_names_it_as_one(rule: str) -> None:
    assert RULES[rule].says.startswith("Check the entry: ")


def test_the_numbers_of_a_question_stay_numbers() -> None:
    values = entries({"process": "GTAW", "travel_speed_mm_s": FAR_OFF_MM_S})[
        "entry-travel-speed"
    ].values
    assert [values[name] for name in ("logged", "low", "high")] == pytest.approx([8, 60, 450])


@pytest.mark.parametrize(
    ("members", "words"),
    [
        ({"ac": {"en_percent": 150}}, "the AC balance cannot be 150 %."),
        ({"arc_time_s": 0}, "the arc time cannot be 0 s."),
        ({"relative_humidity_percent": 140}, "the humidity cannot be 140 %."),
        ({"torch_angle_deg": 95}, "the travel angle cannot be 95°."),
        ({"gas_flow_l_min": -1}, "the gas flow cannot be -1 L/min (-2.1 CFH)."),
        ({"current_a": 1e308}, "the current cannot be more than 1 000 000 000 A."),
        ({"stops": 10**12}, "the count of stops cannot be more than 1 000 000 000."),
    ],
)
def test_what_cannot_be_is_named_in_plain_words_with_its_unit(
    members: dict[str, Any], words: str
) -> None:
    assert said("entry-not-possible", **members).startswith(f"Check the entry: {words}")


def number_members(kind: Any, prefix: str = "") -> Iterator[str]:
    """Return the members of a class of facts that hold a number, as ``possible`` names them."""
    for name, hint in get_type_hints(kind).items():
        kinds = [each for part in (hint, *get_args(hint)) for each in (part, *get_args(part))]
        if {int, float} & set(kinds):
            yield prefix + name
        for each in kinds:
            if is_dataclass(each) and name != "typed":
                yield from number_members(each, "" if name == "run_list" else f"{prefix}{name}.")


def test_every_number_of_a_coupon_has_its_domain_its_noun_and_its_unit() -> None:
    assert set(number_members(Facts)) == set(DOMAINS)
    assert all(each.noun for each in DOMAINS.values())


@pytest.mark.parametrize(
    ("members", "field", "value", "typed_as"),
    [
        # 150 typed with "in": 3810 mm in 30 s would be 7620 mm/min, 150 mm is 300 mm/min.
        ({"weld_length_mm": 3810, "arc_time_s": 30}, "weld_length_mm", 150, "mm"),
        # 6 typed as mm and meant in: 152.4 mm in 36 s is 254 mm/min.
        ({"weld_length_mm": 6, "arc_time_s": 36}, "weld_length_mm", 152.4, "in"),
        # A length that is plausible leaves the doubt on the arc time.
        ({"weld_length_mm": 150, "arc_time_s": 0.6}, "arc_time_s", 36, "min"),
    ],
)
def test_slip_of_the_weld_length_is_told_from_one_of_the_arc_time(
    members: dict[str, float], field: str, value: float, typed_as: str
) -> None:
    found = suggestion("entry-travel-speed", **members)
    assert found == {"field": field, "value": pytest.approx(value), "typed_as": typed_as}


def test_slip_of_the_weld_length_of_a_run_is_named_by_its_place() -> None:
    run = {"weld_length_mm": 150, "arc_time_s": 30}
    found = suggestion("entry-travel-speed", run_list=[run, run | {"weld_length_mm": 3810}])
    assert found["field"] == "run_list[1].weld_length_mm"


# heat-S25: 0.75 to 1.35 mm³/(A s); 190 A on 1.2 mm wire is 7.56 to 13.6 m/min (worked).
def test_a_wire_feed_that_does_not_fit_names_the_feeds_that_would() -> None:
    found = entries(GMAW | {"wire_feed_mm_s": 100})["entry-wire-feed-for-current"]
    assert found.measured == pytest.approx(0.595, abs=1e-3)
    sentence = found.says.replace("\u00a0", " ")
    assert "a wire feed of 6 m/min" in sentence
    assert "does not fit 190 A, which melt about 7.6 to 14 m/min" in sentence
