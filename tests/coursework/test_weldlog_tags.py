"""What page templates print: numbers, flags, figures and error summaries.

How many figures a value carries, and that halves go up: common practice, no source.
"""

from decimal import Decimal
from typing import Any

import pytest
from django import forms
from django.template import engines
from hypothesis import given
from hypothesis import strategies as st

from coursework.templatetags.weldlog_tags import significant, travel_speed, unit


def render(source: str, **context: Any) -> str:
    template = engines["django"].from_string("{% load weldlog_tags chart_tags %}" + source)
    return " ".join(template.render(context).split())


@pytest.mark.parametrize(
    ("value", "figures", "text"),
    [
        (0.5991, 3, "0.599"),
        (0.35946, 2, "0.36"),
        (0.345, 2, "0.35"),
        (3.0, 2, "3.0"),
        (9.96, 2, "10"),
        (124.6, 2, "120"),
        (0.0, 3, "0"),
        (-0.123, 2, "-0.12"),
        (None, 3, "–"),
    ],
)
def test_a_number_carries_its_significant_figures(
    value: float | None, figures: int, text: str
) -> None:
    assert significant(value, figures) == text


@given(st.floats(1e-6, 1e9), st.integers(1, 6))
def test_rounding_moves_a_number_by_at_most_half_of_its_last_figure(
    value: float, figures: int
) -> None:
    text = significant(value, figures)
    step = Decimal(10) ** (Decimal(str(value)).adjusted() - figures + 1)
    assert abs(Decimal(text) - Decimal(str(value))) <= step / 2
    assert "E" not in text


def test_a_unit_is_joined_with_a_no_break_space() -> None:
    assert unit(travel_speed(3.64), "mm/s") == '3.6<span class="unit">\u00a0mm/s</span>'


def test_a_position_has_a_point_in_every_language() -> None:
    assert render("{{ 46.666|percent }} {{ 30.0|percent }} {{ 0|percent }}") == "46.67% 30% 0%"


@pytest.mark.parametrize(
    ("severity", "safety", "word"),
    [
        ("stop", False, "Stop:"),
        ("stop", True, "Safety stop:"),
        ("warn", False, "Warn:"),
        ("advise", False, "Advise:"),
    ],
)
def test_a_flag_says_its_severity_in_words(severity: str, safety: bool, word: str) -> None:
    flag = {"severity": severity, "safety": safety, "heading": "", "says": "Wipe, then brush."}
    page = render("{% finding flag %}", flag=flag)
    assert word in page
    assert "Wipe, then brush." in page


FIGURE = {
    "name": "Arc energy",
    "how": "",
    "value_text": "0.599",
    "unit": "kJ/mm",
    "other_text": "",
    "missing": False,
    "value": 0.599,
    "low": 0.4,
    "high": 0.55,
    "low_text": "0.40",
    "high_text": "0.55",
}


def test_a_figure_is_said_in_one_sentence() -> None:
    page = render("{% figure figure %}", figure=FIGURE)
    assert 'aria-label="Arc energy 0.599 kJ/mm, above, window 0.40 to 0.55"' in page


def test_a_missing_figure_is_said_and_has_no_pointer() -> None:
    page = render("{% figure figure %}", figure=FIGURE | {"missing": True, "value_text": ""})
    assert "not logged" in page
    assert 'class="in"' not in page
    assert 'class="out"' not in page


def test_a_figure_without_a_window_has_no_gauge() -> None:
    assert "<svg" not in render("{% figure f %}", f=FIGURE | {"low": None, "high": None})


def test_the_list_of_marks_says_who_saw_what() -> None:
    pores = {"key": 1, "group": 2, "at_mm": 38, "length_mm": 23, "name": "Pores", "number": "2017"}
    undercut = {"key": 2, "group": 5, "at_mm": None, "length_mm": None, "name": "Undercut"}
    page = render("{% bead_strip 150 mine theirs %}", mine=[pores], theirs=[pores, undercut])
    assert "Pores</b> 2017, both" in page
    assert "from 38 to 61 mm" in page
    assert "from 1.5 to 2.4 in" in render("{% bead_strip 150 mine inches=True %}", mine=[pores])
    assert "Undercut</b>, only Instructor" in page
    assert "place not logged" in page


class Settings(forms.Form):
    volts = forms.IntegerField(label="Arc volts")


def test_every_error_is_listed_on_top_in_the_words_beside_its_field() -> None:
    form = Settings({"volts": "14..5"})
    page = render("{% error_summary form none %}{{ form }}", form=form, none=None)
    assert '<a href="#id_volts">Arc volts: Enter a whole number.</a>' in page
    assert page.count("Enter a whole number.") == 2
    assert 'aria-describedby="id_volts_error"' in page
    assert 'value="14..5"' in page


def test_errors_of_formsets_are_listed_too() -> None:
    runs = forms.formset_factory(Settings)(
        {"form-TOTAL_FORMS": "1", "form-INITIAL_FORMS": "0", "form-0-volts": "x"}
    )
    assert 'href="#id_form-0-volts"' in render("{% error_summary runs %}", runs=runs)


def test_without_errors_there_is_no_summary() -> None:
    assert render("{% error_summary form %}", form=Settings()) == ""


def test_a_chart_has_its_numbers_as_a_table() -> None:
    page = render('{% trace_chart "Speed" points 3.4 5.0 %}', points=[("18", 4.8), ("21", None)])
    assert '<th scope="row">18</th><td class="number">4.8</td>' in page
    assert "Too few to say." in page
