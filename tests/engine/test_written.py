"""Numbers in sentences: plain digits, both unit systems, no line end before a percent sign."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.test_rules import CASES
from weldlog.engine.facts import read
from weldlog.engine.filler_pairs import CHARTED
from weldlog.engine.review import RULES, review
from weldlog.engine.written import LEAST, MOST, in_units, plain, span


def spoken(text: str) -> str:
    """Return a text with plain spaces."""
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        # The inch is 25.4 mm, the cubic foot 28.316846592 L: exact by definition.
        (12700, "mm/min", "12 700 mm/min (500 in/min)"),
        (203.2, "mm/min", "200 mm/min (8 in/min)"),
        (4.247527, "L/min", "4.2 L/min (9 CFH)"),
        (10.8, "m/min", "11 m/min (430 in/min)"),
        (3.175, "mm", "3.18 mm (0.13 in)"),
        (0.4, "kJ/mm", "0.4 kJ/mm (10 kJ/in)"),
        (7.62, "m", "7.62 m (25 ft)"),
        (150, "%", "150 %"),
        (95, "°", "95°"),
        (0, "s", "0 s"),
        (-135, "A", "-135 A"),
        (1e300, "A", "more than 1 000 000 000 A"),
        (-1e300, "A", "less than -1 000 000 000 A"),
    ],
)
def test_number_is_said_in_both_unit_systems(value: float, unit: str, said: str) -> None:
    assert spoken(in_units(value, unit)) == said


def test_range_is_said_in_both_unit_systems() -> None:
    assert spoken(span(60, 450, "mm/min")) == "60 to 450 mm/min (2.4 to 18 in/min)"


def test_number_just_outside_a_limit_does_not_read_like_the_limit() -> None:
    assert spoken(in_units(450.4, "mm/min", unlike=450)) == "450.4 mm/min (18 in/min)"


@given(st.floats(LEAST, MOST), st.integers(1, 6))
def test_number_is_written_without_an_exponent_and_close_to_itself(
    value: float, figures: int
) -> None:
    text = plain(value, figures)
    assert "e" not in text.lower()
    read_back = float(Decimal(text.replace("\u00a0", "")))
    assert read_back == pytest.approx(value, rel=0.51 * 10 ** (1 - figures))


@given(st.floats(allow_nan=False))
def test_any_number_can_be_written_and_stays_short(value: float) -> None:
    assert 0 < len(plain(value)) <= 24


@pytest.mark.parametrize("rule", sorted(RULES))
def test_percent_stands_with_its_number(rule: str) -> None:
    said = next(each.says for each in review(read(CASES[rule][0])).findings if each.rule.id == rule)
    for place, sign in enumerate(said):
        assert sign != "%" or said[place - 1] == "\u00a0", said


def test_percent_stands_with_its_number_in_the_tables_too() -> None:
    reasons = [pair.why for pair in CHARTED.values()]
    assert any("\u00a0%" in why for why in reasons)
    assert not any(" %" in why for why in reasons)
