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
)
from coursework.forms.typed_numbers import parse_number, parse_time_span

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


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("1:33", 93),
        ("0:36,5", 36.5),
        ("12:05", 725),
        ("1 min 33 s", 93),
        ("1m33s", 93),
        ("1' 33\"", 93),
    ],
)
def test_minutes_and_seconds_are_a_time(text: str, seconds: float) -> None:
    assert parse_time_span(text) == seconds
    value = typed(text, "s", "time")
    assert value is not None
    assert value.value == seconds


@pytest.mark.parametrize("text", ["1:75", "1:2:3", "-1:33", ":30", "1:", "1:3a"])
def test_what_is_no_time_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(ValidationError, match="like 1:33"):
        typed(text, "s", "time")


@given(st.integers(0, 999), st.integers(0, 59))
def test_every_time_in_minutes_and_seconds_reads_back(minutes: int, seconds: int) -> None:
    assert parse_time_span(f"{minutes}:{seconds:02}") == 60 * minutes + seconds


@pytest.mark.parametrize(
    ("text", "chosen", "quantity", "value", "kept"),
    [
        ("10 in", "mm", "length", 254, {"text": "10", "unit": "in"}),
        ('10"', "mm", "length", 254, {"text": "10", "unit": "in"}),
        ("3.5 mm", "mm", "length", 3.5, {"text": "3.5", "unit": "mm"}),
        ("12 ipm", "mm/min", "speed", 5.08, {"text": "12", "unit": "in/min"}),
        ("300 mm/min", "in/min", "speed", 5, {"text": "300", "unit": "mm/min"}),
        ("20 cfh", "L/min", "gas_flow", 9.43895, {"text": "20", "unit": "CFH"}),
        ("1.5 min", "s", "time", 90, {"text": "1.5", "unit": "min"}),
        ("93 s", "min", "time", 93, {"text": "93", "unit": "s"}),
        ("70 °F", "°C", "temperature", 21.1111, {"text": "70", "unit": "°F"}),
        ("70 %", "% EN", "en_percent", 70, {"text": "70", "unit": "% EN"}),
        ("10°", "°", "angle", 10, {"text": "10", "unit": "°"}),
        ("135 amps", "A", "current", 135, {"text": "135", "unit": "A"}),
    ],
)
def test_a_unit_that_is_typed_counts_instead_of_the_chosen_one(
    text: str, chosen: str, quantity: str, value: float, kept: dict[str, str]
) -> None:
    found = typed(text, chosen, quantity)
    assert found is not None
    assert found.value == pytest.approx(value, rel=1e-5)
    assert found.typed == kept


@pytest.mark.parametrize(
    ("text", "chosen", "quantity", "units"),
    [
        ("14 V", "A", "current", "A"),
        ("15 cm", "mm", "length", "mm or in"),
        ("36 s", "mm", "length", "mm or in"),
        ("25°", "°C", "temperature", "°C or °F"),
        ("1900 W", "kW", "power", "kW"),
    ],
)
def test_a_unit_of_another_kind_is_refused_with_those_that_would_do(
    text: str, chosen: str, quantity: str, units: str
) -> None:
    with pytest.raises(ValidationError, match=f"Type it in {units}[.]"):
        typed(text, chosen, quantity)


# Sizes as they are sold: 3/32 in is a 2.4 mm rod (2.38), 1/8 in plate is 3.175 mm.
@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("3/32", "in", 2.38125),
        ("1/8", "in", 3.175),
        ("1/8 in", "mm", 3.175),
        ('1/8"', "mm", 3.175),
        ("1 1/8", "in", 28.575),
        ("1-1/8", "in", 28.575),
        ("1 / 4", "in", 6.35),
        ("1/8", "mm", 0.125),
    ],
)
def test_a_fraction_is_a_length(text: str, unit: str, mm: float) -> None:
    found = typed(text, unit)
    assert found is not None
    assert found.value == pytest.approx(mm)


@pytest.mark.parametrize("text", ["1/0", "1/", "/8", "1/2/3", "-1/8", "1.5/8"])
def test_what_is_no_fraction_is_refused(text: str) -> None:
    with pytest.raises(ValidationError, match="is not a number"):
        typed(text, "in")


def test_a_fraction_is_read_of_lengths_only() -> None:
    with pytest.raises(ValidationError, match="is not a number"):
        typed("1/2", "s", "time")


@given(st.text(max_size=20), st.sampled_from([*UNITS]), st.data())
def test_any_text_in_any_field_is_a_finite_measure_or_a_sentence(
    text: str, quantity: str, data: st.DataObject
) -> None:
    unit = data.draw(st.sampled_from([*UNITS[quantity]]))
    try:
        found = typed(text, unit, quantity, signed=True)
    except ValidationError as refusal:
        said = refusal.messages[0]
    else:
        said = "." if found is None or math.isfinite(found.value) else "not finite"
    assert said.endswith(".")


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
