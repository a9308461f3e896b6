"""Whatever fits the coupon's schema gets a review that fits its own; all else is refused."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.engine.contract import EXAMPLES, example, fitting, schema_of, validator
from weldlog.engine.facts import Facts, read
from weldlog.engine.reading import Unreadable
from weldlog.engine.review import review

COUPON = validator("coupon")
COUPON_SCHEMA = schema_of("coupon")
REVIEW = validator("review")
drawn = settings(suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])

# Refused by the schema too: every kind of mistake once.
MISTAKES: list[Any] = [
    [],
    None,
    {},
    {"process": "SMAW"},
    {"process": "GTAW", "curent_a": 1},
    {"process": "GTAW", "current_a": True},
    {"process": "GTAW", "current_a": "135"},
    {"process": "GTAW", "current_a": None},
    {"process": "GTAW", "runs": 0},
    {"process": "GTAW", "runs": 1.5},
    {"process": "GTAW", "id": "x" * 65},
    {"process": "GTAW", "filler": {}},
    {"process": "GTAW", "filler": {"designation": "4043", "diameter_mm": 0}},
    {"process": "GTAW", "base_metals": []},
    {"process": "GTAW", "base_metals": [{}, {}, {}]},
    {"process": "GTAW", "base_metals": [{"thickness_mm": 0}]},
    {"process": "GTAW", "base_metals": [{"edge_dressed_mm": -1}]},
    {"process": "GTAW", "run_list": [{}]},
    {"process": "GTAW", "cleaning": [{}]},
    {"process": "GTAW", "cleaning": {}},
    {"process": "GTAW", "arc_started_at": "yesterday"},
    {"process": "GTAW", "arc_started_at": "2026-09-14T09:00:00"},
    {"process": "GTAW", "arc_started_at": "2026-09-14 09:00:00Z"},
    {"process": "GTAW", "arc_started_at": "2026-02-30T09:00:00Z"},
    {"process": "GTAW", "arc_started_at": "2026-W38-1T09:00:00Z"},
    {"process": "GTAW", "imperfections": [{"size_mm": 1}]},
    {"process": "GTAW", "imperfections": [{"number": 2017}]},
    {"process": "GTAW", "draught": 1},
    {"process": "GTAW", "typed": {"current_a": {}}},
    {"process": "GTAW", "typed": {"current_a": {"text": "135", "units": "A"}}},
    {"process": "GTAW", "typed": {"current_a": {"text": 135}}},
]

# Read by both: the edges of what may be stated.
EDGES: list[Any] = [
    {"process": "GTAW"},
    {"process": "GTAW", "id": "x" * 64},
    {"process": "GTAW", "runs": 2.0},
    {"process": "GTAW", "current_a": 1e308, "voltage_v": 1e308, "travel_speed_mm_s": 5e-324},
    {
        "process": "GTAW",
        "filler": {"designation": "4043", "diameter_mm": 7e-243},
        "fillet": {"leg_1_mm": 1, "leg_2_mm": 1},
        "weld_length_mm": 1,
    },
    {"process": "GTAW", "current_a": -1e308, "stops": 10**300, "runs": 10**300},
    {"process": "GTAW", "filler": None, "cleaning": [], "imperfections": []},
    {"process": "GMAW", "run_list": [{}, {}]},
    {"process": "GTAW", "typed": {"": {"text": "", "unit": ""}}},
    {"process": "GTAW", "arc_started_at": "0001-01-01T00:00:00.123456789+23:59"},
    {"process": "GTAW", "base_metals": [{"alloy": "\ud800", "thickness_mm": 5e-324}]},
]


@pytest.mark.parametrize("document", MISTAKES, ids=repr)
def test_what_the_schema_refuses_is_unreadable_in_one_line(document: Any) -> None:
    assert not COUPON.is_valid(document)
    with pytest.raises(Unreadable) as refused:
        read(document)
    assert len(str(refused.value).splitlines()) == 1


def strictly(found: Any) -> Any:
    """Return it as another program reads it: NaN and infinity are no JSON."""
    return json.loads(json.dumps(found, allow_nan=False))


@pytest.mark.parametrize("document", EDGES, ids=repr)
def test_what_the_schema_allows_is_reviewed(document: Any) -> None:
    COUPON.validate(document)
    REVIEW.validate(strictly(review(read(document)).as_json()))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_examples_of_the_contract_are_reviewed(path: Path) -> None:
    document = json.loads(path.read_text(encoding="utf-8"))
    COUPON.validate(document)
    found = strictly(review(read(document)).as_json())
    REVIEW.validate(found)
    assert found["id"] == document["id"]


@drawn
@given(fitting(COUPON_SCHEMA))
def test_any_coupon_that_fits_the_schema_gets_a_review_that_fits_its_own(document: Any) -> None:
    COUPON.validate(document)
    REVIEW.validate(strictly(review(read(document)).as_json()))


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-3, 300) | st.floats(-3, 300) | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=5,
)
_PROPERTIES = COUPON_SCHEMA["properties"]


@drawn
@given(
    st.sampled_from(["fillet-clean", "fillet-faults", "gmaw-unit-slip"]),
    st.sampled_from([*_PROPERTIES, "unheard_of"]),
    _JSON,
)
def test_reader_and_schema_agree_on_whatever_stands_in_a_member(
    name: str, member: str, value: Any
) -> None:
    document = example(name) | {member: value}
    if COUPON.is_valid(document):
        assert isinstance(read(document), Facts)
    else:
        with pytest.raises(Unreadable):
            read(document)


@drawn
@given(st.sampled_from([*_PROPERTIES]), st.data())
def test_reader_and_schema_agree_on_a_mistake_deep_inside(member: str, data: st.DataObject) -> None:
    value = data.draw(fitting(_PROPERTIES[member]))
    spoiled = data.draw(st.sampled_from(_spoilings(value)))
    document = {"process": "GTAW", member: spoiled}
    if COUPON.is_valid(document):
        read(document)
    else:
        with pytest.raises(Unreadable):
            read(document)


def _spoilings(value: Any) -> list[Any]:
    """Return the value with one thing in it changed, in every place where that can be."""
    found: list[Any] = [None, "no", -1, [value], {"no": value}]
    if isinstance(value, list) and value:
        found += [[each, *value[1:]] for each in _spoilings(value[0])]
    if isinstance(value, dict):
        wrong: list[Any] = [None, "no", -1, [], {}]
        found += [value | {name: each} for name in value for each in wrong]
        found += [{key: value[key] for key in value if key != name} for name in value]
    return found
