"""What holds of every review, whatever the coupon says; more coupons are drawn with ``--long``."""

import io
import json
import random
import re
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from tests.engine.contract import EXAMPLES, example, fitting, schema_of, validator
from weldlog.engine.facts import read
from weldlog.engine.findings import SEVERITIES
from weldlog.engine.reading import Unreadable
from weldlog.engine.review import RULES, review
from weldlog.engine.sources import SOURCES
from weldlog.engine.units import UNITS, convert

type Document = dict[str, Any]

COUPON = validator("coupon")
SCHEMA = schema_of("coupon")
NAMES = [example(path.stem) for path in EXAMPLES]
drawn = settings(suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def reviewed(document: Document) -> Document:
    """Return the review of a coupon as another program reads it."""
    found: Document = json.loads(json.dumps(review(read(document)).as_json(), allow_nan=False))
    return found


def coupons() -> st.SearchStrategy[Document]:
    """Return coupons that fit the schema, and examples of the contract with members of those."""
    any_one = fitting(SCHEMA)
    mixed = st.builds(lambda base, other: base | other, st.sampled_from(NAMES), any_one)
    return any_one | mixed


# --- what goes in and what comes out


@drawn
@given(coupons())
def test_findings_stand_in_order_and_every_sentence_is_whole(document: Document) -> None:
    found = review(read(document))
    loudness = [SEVERITIES.index(each.severity) for each in found.findings]
    assert loudness == sorted(loudness)
    stops = [each.rule.id for each in found.findings if each.severity == "stop"]
    safety = [rule.startswith("safety-") for rule in stops]
    assert safety == sorted(safety, reverse=True)
    for each in found.findings:
        assert RULES[each.rule.id] is each.rule
        assert each.rule.source in SOURCES
        assert re.fullmatch(r"[^{}\n]+[.?]", each.says), each.says


@drawn
@given(coupons())
def test_at_most_three_causes_are_named_for_one_imperfection(document: Document) -> None:
    seen = [each.imperfection for each in review(read(document)).causes]
    assert all(seen.count(number) <= 3 for number in seen)


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=8,
)


def refusal(document: Any) -> str:
    """Return the line with which the reader refuses a document, or nothing."""
    try:
        read(document)
    except Unreadable as refused:
        return str(refused)
    return ""


@drawn
@given(_JSON | st.dictionaries(st.sampled_from([*SCHEMA["properties"]]), _JSON))
def test_whatever_does_not_fit_is_unreadable_in_one_line(document: Any) -> None:
    line = refusal(document)
    assert bool(line) is not (_is_finite(document) and COUPON.is_valid(document))
    assert len(line.splitlines()) <= 1


def _is_finite(document: Any) -> bool:
    try:
        json.dumps(document, allow_nan=False)
    except ValueError:
        return False
    return True


# --- what does not matter


def _inner(part: Document) -> set[str]:
    """Return the members of a part of the schema, of its items or of one of its kinds."""
    kinds = [part, part.get("items", {}), *part.get("oneOf", ())]
    return {name for each in kinds for name in each.get("properties", ())}


def shuffled(thing: Any, chance: random.Random) -> Any:
    """Return the same JSON with the members of every object in another order."""
    if isinstance(thing, list):
        return [shuffled(each, chance) for each in thing]
    if not isinstance(thing, dict):
        return thing
    names = chance.sample([*thing], len(thing))
    return {name: shuffled(thing[name], chance) for name in names}


@drawn
@given(coupons(), st.randoms(use_true_random=False))
def test_the_order_of_members_changes_nothing(document: Document, chance: random.Random) -> None:
    assert reviewed(shuffled(document, chance)) == reviewed(document)


@drawn
@given(coupons(), fitting(SCHEMA["properties"]["typed"]), st.text(max_size=64))
def test_what_was_typed_and_the_name_of_a_coupon_change_nothing(
    document: Document, typed: Document, name: str
) -> None:
    found = reviewed(document | {"typed": typed, "id": name})
    assert found.pop("id") == name
    plain = reviewed({key: value for key, value in document.items() if key not in ("typed", "id")})
    assert found == plain


# --- what a finding and a figure rest on


def stated(document: Document) -> set[str]:
    """Return the members that a coupon states, as findings name them."""
    return {bare(path) for path in _paths(document)}


def bare(path: str) -> str:
    """Return the name of a member without its place; a run has the members of a coupon."""
    return re.sub(r"\[\d+\]", "", path).removeprefix("run_list.")


def _paths(thing: Any, path: str = "") -> Iterator[str]:
    if path:
        yield path
    if isinstance(thing, dict):
        for name, each in thing.items():
            yield from _paths(each, f"{path}.{name}" if path else name)
    if isinstance(thing, list):
        for place, each in enumerate(thing):
            yield from _paths(each, f"{path}[{place}]")


@drawn
@given(coupons())
def test_no_finding_comes_from_silence(document: Document) -> None:
    known = stated(document)
    for each in review(read(document)).findings:
        assert {bare(name) for name in each.fields} & known, (each.rule.id, each.fields)


@pytest.mark.parametrize("process", ["GTAW", "GMAW"])
def test_of_a_coupon_that_states_nothing_nothing_is_found(process: str) -> None:
    found = reviewed({"process": process})
    assert (found["findings"], found["causes"], found["acceptance"]) == ([], [], [])
    assert found["next_try"] is None


MEMBERS = {
    f"{name}.{inner}" if inner else name
    for name, part in SCHEMA["properties"].items()
    for inner in ("", *_inner(part))
}


@drawn
@given(coupons())
def test_what_could_not_be_assessed_names_members_of_the_contract(document: Document) -> None:
    for each in review(read(document)).not_assessed:
        assert each.missing
        assert {bare(name) for name in each.missing} <= MEMBERS, each


SPEED = {"process", "travel_speed_mm_s", "weld_length_mm", "arc_time_s", "run_list"}
ENERGY = SPEED | {"current_a", "voltage_v", "arc_energy_kj", "mean_power_kw", "ac", "polarity"}
RESTS_ON = {
    "travel_speed_mm_s": SPEED | ENERGY,  # of the run with the largest heat input
    "arc_energy_kj_mm": ENERGY,
    "heat_input_kj_mm": ENERGY,
    "mean_current_a": {"process", "current_a", "ac", "polarity"},
    "dc_component_a": {"process", "current_a", "ac", "polarity"},
    "gas_used_l": ENERGY | {"gas_flow_l_min", "preflow_s", "postflow_s"},
}


@drawn
@given(coupons(), st.sampled_from([*RESTS_ON]))
def test_a_figure_rests_on_nothing_but_its_members(document: Document, figure: str) -> None:
    bare = {name: value for name, value in document.items() if name in RESTS_ON[figure]}
    assert reviewed(bare)["figures"][figure] == reviewed(document)["figures"][figure]


@drawn
@given(coupons())
def test_what_was_seen_on_the_weld_changes_only_what_is_said_of_the_weld(
    document: Document,
) -> None:
    """Leaving out what was seen adds nothing, and takes away findings of inspection alone."""
    unseen = {name: value for name, value in document.items() if name != "imperfections"}
    with_it, without_it = review(read(document)), review(read(unseen))
    left = [each for each in with_it.findings if "imperfections" not in " ".join(each.fields)]
    assert {each.rule.id for each in without_it.findings} <= {each.rule.id for each in left}
    assert with_it.figures == without_it.figures


METERS = ("current_a", "voltage_v", "travel_speed_mm_s", "weld_length_mm", "arc_time_s")


@given(st.sets(st.sampled_from(METERS)), st.sampled_from(METERS))
def test_leaving_out_a_reading_leaves_more_unassessed_and_never_less(
    logged: set[str], member: str
) -> None:
    full = {"current_a": 135, "voltage_v": 15, "travel_speed_mm_s": 5}
    full |= {"weld_length_mm": 150, "arc_time_s": 30}
    more = {"process": "GTAW", **{name: full[name] for name in logged}}
    less = {name: value for name, value in more.items() if name != member}
    topics = [{each.what for each in review(read(doc)).not_assessed} for doc in (more, less)]
    assert topics[0] <= topics[1]


# --- arithmetic


def heat(volts: float, amps: float, speed: float, process: str) -> float:
    """Return the heat input of a coupon [kJ/mm]."""
    readings = {"voltage_v": volts, "current_a": amps, "travel_speed_mm_s": speed}
    found = review(read({"process": process, **readings})).figures.heat_input_kj_mm
    assert found is not None
    return found


@given(
    st.floats(6, 45),
    st.floats(5, 600),
    st.floats(0.25, 50),
    st.floats(1.001, 10),
    st.sampled_from(["GTAW", "GMAW"]),
)
def test_heat_input_grows_with_volts_and_amps_and_falls_with_speed(
    volts: float, amps: float, speed: float, times: float, process: str
) -> None:
    once = heat(volts, amps, speed, process)
    assert heat(times * volts, amps, speed, process) == pytest.approx(times * once)
    assert heat(volts, times * amps, speed, process) == pytest.approx(times * once)
    assert heat(volts, amps, times * speed, process) == pytest.approx(once / times)


KINDS = [(a, b) for a in UNITS for b in UNITS if UNITS[a].base == UNITS[b].base]


@given(st.floats(-1e6, 1e6), st.sampled_from(KINDS))
def test_there_and_back_through_any_other_unit_gives_the_same_number(
    value: float, units: tuple[str, str]
) -> None:
    there, back = units
    assert convert(convert(value, there, back), back, there) == pytest.approx(value, abs=1e-6)


@given(st.floats(0, 1e6), st.floats(1e-3, 1e6), st.sampled_from(KINDS))
def test_more_stays_more_in_any_other_unit(
    value: float, more: float, units: tuple[str, str]
) -> None:
    assume(value + more > value)
    assert convert(value + more, *units) > convert(value, *units)


# --- bytes


def refused(content: bytes) -> str:
    """Send bytes through ``manage.py review -``; return the line that refuses them, or nothing."""
    out = io.StringIO()
    with pytest.MonkeyPatch.context() as monkeypatch:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content)))
        try:
            call_command("review", "-", stdout=out)
        except CommandError as problem:
            return f"{problem.returncode} {problem}"
    return "" if out.getvalue() else "nothing was said"


def is_one_line(line: str) -> bool:
    """Return whether a refusal is what it should be: status 2, and one line to act on."""
    whole = re.fullmatch(r"2 review: standard input: .+", line)
    return whole is not None and len(line.splitlines()) == 1 and len(line) < 500


_TEXTS = [path.read_bytes() for path in EXAMPLES]
_ODD = [b"\xff", b"\xed\xa0\x80", b"\0", b"\xef\xbb\xbf", b"1e999", b"-0", b"NaN", b"\\ud800"]
_ODD += [b"[" * 3000, b'{"a":' * 3000, b"9" * 5000, b'"process": "GTAW",', b"\r", b"\x1e", b"\n"]


@drawn
@given(st.sampled_from(_TEXTS), st.integers(0, 4000), st.integers(0, 40), st.sampled_from(_ODD))
def test_spoiled_bytes_are_answered_or_refused_in_one_line(
    text: bytes, at: int, cut: int, odd: bytes
) -> None:
    line = refused(text[:at] + odd + text[at + cut :])
    assert line == "" or is_one_line(line)


@pytest.mark.parametrize("member", [b"9" * 5000, b"\\u0001" * 800])
def test_a_name_as_long_as_a_page_is_cut_in_the_line(member: bytes) -> None:
    assert is_one_line(refused(b'{"process": "GTAW", "' + member + b'": 1}'))
    assert is_one_line(refused(b'{"' + member + b'": 1, "' + member + b'": 1}'))
    assert is_one_line(refused(b'{"process": "GTAW", "typed": {"' + member + b'": 1}}'))


@drawn
@given(st.binary(max_size=200))
def test_any_bytes_are_answered_or_refused_in_one_line(content: bytes) -> None:
    line = refused(content)
    assert line == "" or is_one_line(line)


@pytest.mark.parametrize("text", _TEXTS)
def test_a_coupon_that_breaks_off_is_refused(text: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = text.rstrip()
    for at in range(0, len(whole), max(1, len(whole) // 40)):
        assert is_one_line(refused(whole[:at]))


@drawn
@given(_JSON)
def test_any_json_but_a_coupon_leaves_with_2(document: Any) -> None:
    coupon = _is_finite(document) and COUPON.is_valid(document)
    assume(not coupon and document != [])
    assert is_one_line(refused(json.dumps(document).encode()))
