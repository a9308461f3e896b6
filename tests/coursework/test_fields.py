"""Numbers as they are typed in a shop."""

import math
from datetime import time
from typing import Any

import pint
import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from coursework.forms.fields import (
    UNITS,
    ClockField,
    Measure,
    MeasureField,
    WholeNumberField,
    parse_number,
    parse_time_span,
)

REGISTRY: Any = pint.UnitRegistry()
PINT_NAMES = {"ft3/h": "foot**3/hour", "L/min": "liter/minute", "in/min": "inch/minute"}


def typed(text: str, unit: str = "mm", quantity: str = "length", **options: Any) -> Measure | None:
    return MeasureField(quantity, **options).clean([text, unit])


@pytest.mark.parametrize("text", ["3.5", "3,5", " 3.5 ", "3.5 mm", "3,5mm", "+3.5", "03.50"])
def test_point_and_comma_and_a_unit_typed_by_mistake_read_alike(text: str) -> None:
    assert parse_number(text) == 3.5


@pytest.mark.parametrize("text", ["14..5", "1.2.3", "1,2,3", ".."])
def test_two_decimal_marks_are_refused_with_an_example(text: str) -> None:
    with pytest.raises(ValidationError, match="Two decimal marks") as refusal:
        parse_number(text)
    (sentence,) = refusal.value.messages
    example = sentence.rpartition("Type it like ")[2].removesuffix(".")
    assert parse_number(example) >= 0


@pytest.mark.parametrize("text", ["1.234,5", "1,234.5", ",."])
def test_both_marks_are_refused_without_a_guess(text: str) -> None:
    with pytest.raises(ValidationError, match="has both marks"):
        parse_number(text)


@pytest.mark.parametrize(
    "text", ["many", "1e5", "nan", "inf", "--3", "3-", "½", "٣", "1" * 30, "0x1"]
)
def test_what_is_not_a_number_is_refused(text: str) -> None:
    with pytest.raises(ValidationError):
        parse_number(text)


@given(st.decimals(0, 99999, places=3, allow_nan=False), st.sampled_from(".,"))
def test_every_number_reads_back_with_either_mark(number: Any, mark: str) -> None:
    assert parse_number(str(number).replace(".", mark)) == pytest.approx(float(number))


@given(st.text(max_size=30))
def test_any_text_is_a_number_or_a_sentence(text: str) -> None:
    try:
        said = str(parse_number(text))
    except ValidationError as refusal:
        said = refusal.messages[0]
    assert said == said.strip()
    assert said.endswith(".") or math.isfinite(float(said))


@pytest.mark.parametrize("quantity", ["length", "speed", "gas_flow", "energy", "power"])
def test_pint_agrees_on_every_unit_that_can_be_chosen(quantity: str) -> None:
    names = {unit: PINT_NAMES.get(symbol, symbol) for unit, symbol in UNITS[quantity].items()}
    base = next(iter(names.values()))
    for unit, name in names.items():
        value = typed("10", unit, quantity)
        assert value is not None
        expected = REGISTRY.Quantity(10, name).to(base).magnitude
        assert value.value == pytest.approx(expected, rel=1e-9)
        assert value.typed == {"text": "10", "unit": unit}


@pytest.mark.parametrize(("text", "seconds"), [("1:33", 93), ("0:36,5", 36.5), ("12:05", 725)])
def test_minutes_and_seconds_are_a_time(text: str, seconds: float) -> None:
    assert parse_time_span(text) == seconds
    value = typed(text, "s", "time")
    assert value is not None
    assert value.value == seconds


def test_below_zero_is_refused_only_where_it_has_no_meaning() -> None:
    with pytest.raises(ValidationError, match="below zero"):
        typed("-3")
    angle = typed("-10", "°", "angle", signed=True)
    assert angle is not None
    assert angle.value == -10


def test_an_empty_field_is_not_a_zero() -> None:
    assert typed("  ") is None
    with pytest.raises(ValidationError, match="cannot be zero"):
        typed("0", above_zero=True)


def test_an_unknown_unit_is_refused() -> None:
    with pytest.raises(ValidationError, match="Choose one of the units"):
        typed("3", "furlong")


@pytest.mark.parametrize(
    ("text", "at"), [("9:58", time(9, 58)), ("0958", time(9, 58)), ("14.05", time(14, 5))]
)
def test_a_time_of_day_reads_as_it_is_typed(text: str, at: time) -> None:
    assert ClockField().clean(text) == at


@pytest.mark.parametrize("text", ["25:00", "9:61", "noon", "9", "٩:٥٨"])
def test_what_is_no_time_of_day_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(ValidationError, match="Type it like"):
        ClockField().clean(text)


@pytest.mark.parametrize("text", ["-1", "1.5", "x", "²", "9999999"])
def test_what_is_no_whole_number_is_refused(text: str) -> None:
    with pytest.raises(ValidationError, match="Type a whole number"):
        WholeNumberField().clean(text)
