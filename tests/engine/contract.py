"""The schemas of the contract, its examples, and documents drawn from a schema."""

import json
from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from jsonschema import Draft202012Validator

CONTRACT = Path(__file__).parent.parent / "contract"
EXAMPLES = sorted((CONTRACT / "examples").glob("*.json"))

_PLAUSIBLE = st.floats(0, 500) | st.integers(-5, 500)
_ANY_NUMBER = st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**300), 10**300)


def schema_of(name: str) -> dict[str, Any]:
    """Return ``<name>.schema.json``."""
    path = CONTRACT / f"{name}.schema.json"
    document: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return document


def validator(name: str) -> Draft202012Validator:
    """Return the validator of a schema; times must be times."""
    return Draft202012Validator(schema_of(name), format_checker=Draft202012Validator.FORMAT_CHECKER)


def example(name: str) -> dict[str, Any]:
    """Return one example of the contract."""
    document: dict[str, Any] = json.loads(
        (CONTRACT / "examples" / f"{name}.json").read_text(encoding="utf-8")
    )
    return document


def fitting(schema: dict[str, Any]) -> st.SearchStrategy[Any]:
    """Return documents that fit a schema, for the keywords that the coupon's schema uses."""
    if "enum" in schema:
        return st.sampled_from(schema["enum"])
    if "oneOf" in schema:
        return st.one_of([fitting(each) for each in schema["oneOf"]])
    kinds = {"object": _objects, "array": _arrays, "string": _texts}
    if schema["type"] in kinds:
        return kinds[schema["type"]](schema)
    if schema["type"] in ("number", "integer"):
        return _numbers(schema)
    return st.booleans() if schema["type"] == "boolean" else st.none()


def _objects(schema: dict[str, Any]) -> st.SearchStrategy[Any]:
    properties = schema.get("properties", {})
    required = {name: fitting(properties[name]) for name in schema.get("required", ())}
    optional = {name: fitting(each) for name, each in properties.items() if name not in required}
    if isinstance(schema.get("additionalProperties"), dict):
        return st.dictionaries(st.text(max_size=5), fitting(schema["additionalProperties"]))
    return st.fixed_dictionaries(required, optional=optional)


def _arrays(schema: dict[str, Any]) -> st.SearchStrategy[Any]:
    fewest = schema.get("minItems", 0)
    return st.lists(
        fitting(schema["items"]), min_size=fewest, max_size=schema.get("maxItems", fewest + 3)
    )


def _texts(schema: dict[str, Any]) -> st.SearchStrategy[str]:
    if schema.get("format") == "date-time":
        return st.datetimes(timezones=st.timezones()).map(_with_offset)
    known = st.sampled_from(["6061", "5052", "5083", "4043", "ER5356", "2017", "104", "classroom"])
    return known | st.text(max_size=schema.get("maxLength", 80))


def _with_offset(moment: Any) -> str:
    text: str = moment.replace(tzinfo=None, microsecond=0).isoformat()
    return f"{text}{'Z' if moment.second % 2 else '-05:00'}"


def _numbers(schema: dict[str, Any]) -> st.SearchStrategy[Any]:
    drawn = _PLAUSIBLE | _ANY_NUMBER
    if schema["type"] == "integer":
        drawn = st.integers(-5, 500) | st.integers(-(10**300), 10**300)
    low, above = schema.get("minimum"), schema.get("exclusiveMinimum")
    if low is not None:
        return drawn.filter(lambda number: number >= low)
    if above is not None:
        return drawn.map(abs).filter(lambda number: number > above)
    return drawn
