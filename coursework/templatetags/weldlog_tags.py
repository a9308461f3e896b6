"""What page templates use: numbers, flags, figures, strips, states and charts.

Everything takes plain dicts or dataclasses alike. Filters: ``arc_energy``, ``heat_input``,
``travel_speed`` (their significant figures), ``significant:n``, ``unit:"mm/s"`` (joins a unit with
a no-break space, smaller), ``percent`` (for positions in drawings).

Tags: ``{% error_summary form … %}`` · ``{% finding flag %}`` · ``{% cause_group group %}`` ·
``{% figure figure %}`` inside ``<ul class="figures">`` · ``{% gauge … %}`` ·
``{% bead_strip length_mm student instructor %}`` · ``{% groove state %}`` ·
``{% state_cell … %}`` · ``{% level n %}`` · ``{% slots good wanted %}`` ·
``{% title_block cells %}`` · ``{% joint_drawing … %}`` · ``{% rubric_row row %}`` ·
``{% icon "go" %}`` · ``{% no_onward_disclosure %}``. Charts are in ``chart_tags``.
Plain includes: ``components/notice.html``, ``components/empty.html``,
``forms/sequence_row.html``, ``forms/stopwatch.html``.
"""

from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django import template
from django.forms import BaseForm, BaseFormSet, PasswordInput
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from coursework.bead_strip import BeadMark, length_text
from coursework.bead_strip import bead_strip as lay_out_strip
from coursework.disclosures import NO_ONWARD_DISCLOSURE
from coursework.drawing import Gauge
from coursework.drawing import gauge as lay_out_gauge
from coursework.state_cells import state_cell, state_word

register = template.Library()

NO_BREAK_SPACE = "\u00a0"
NONE = "–"


def _of(item: Any, name: str, default: Any = None) -> Any:
    """Return a member of a dict or an attribute of an object."""
    if isinstance(item, Mapping):
        return item.get(name, default)
    return getattr(item, name, default)


# Numbers


@register.filter
def significant(value: float | Decimal | None, figures: int) -> str:
    """Write a number with so many significant figures, without an exponent; halves go up."""
    if value is None:
        return NONE
    exact = Decimal(str(value))
    if not exact:
        return "0"
    step = Decimal(1).scaleb(exact.adjusted() - figures + 1)
    rounded = exact.quantize(step, ROUND_HALF_UP)
    if rounded.adjusted() > exact.adjusted():
        rounded = exact.quantize(step.scaleb(1), ROUND_HALF_UP)
    return f"{rounded:f}"


@register.filter
def arc_energy(value: float | None) -> str:
    """Arc energy carries three significant figures."""
    return significant(value, 3)


@register.filter
def heat_input(value: float | None) -> str:
    """Heat input carries two: the thermal efficiency in it is no better than that."""
    return significant(value, 2)


@register.filter
def travel_speed(value: float | None) -> str:
    """Travel speed carries two: it comes from a hand-held watch."""
    return significant(value, 2)


@register.filter
def unit(text: object, name: str) -> SafeString:
    """Join a unit to a number with a no-break space, in a smaller and quieter face."""
    return format_html('{}<span class="unit">{}{}</span>', text, NO_BREAK_SPACE, name)


@register.filter
def percent(value: float) -> str:
    """A position along a drawing; always with a point, whatever the language of the page."""
    return f"{value:.2f}".rstrip("0").rstrip(".") + "%"


# Forms


@register.inclusion_tag("forms/error_summary.html")
def error_summary(*forms: "BaseForm | BaseFormSet[Any] | None") -> dict[str, Any]:
    """List every error of forms and formsets, in their order, each with the id of its field."""
    return {
        "errors": [error for form in forms if form for error in _errors(form)],
        "password": any(_asks_for_password(form) for form in forms),
    }


def _asks_for_password(form: "BaseForm | BaseFormSet[Any] | None") -> bool:
    """Return whether a form has a field that is never filled in again by the page."""
    fields = form.fields.values() if isinstance(form, BaseForm) else ()
    return any(isinstance(each.widget, PasswordInput) for each in fields)


def _errors(form: "BaseForm | BaseFormSet[Any]") -> Iterable[dict[str, str]]:
    if isinstance(form, BaseFormSet):
        yield from ({"target": "", "text": str(text)} for text in form.non_form_errors())
        for one in form:
            yield from _errors(one)
        return
    yield from ({"target": "", "text": str(text)} for text in form.non_field_errors())
    for field in form:
        for text in field.errors:
            yield {"target": field.auto_id, "text": f"{field.label}: {text}"}


# Flags and causes


@register.inclusion_tag("components/finding.html")
def finding(finding: Any, level: int = 3) -> dict[str, Any]:
    """Draw one flag; ``level`` is the level of its heading."""
    words = {"stop": _("Stop"), "warn": _("Warn"), "advise": _("Advise")}
    safety = _of(finding, "safety") and _of(finding, "severity") == "stop"
    word = _("Safety stop") if safety else words[_of(finding, "severity")]
    return {"finding": finding, "word": word, "level": level}


@register.inclusion_tag("components/cause_group.html")
def cause_group(group: Any, level: int = 3) -> dict[str, Any]:
    """Draw what was seen and, likeliest first, what may have caused it."""
    return {"group": group, "level": level}


# Figures and strips


@register.inclusion_tag("components/figure.html")
def figure(figure: Any) -> dict[str, Any]:
    """Draw one figure as a list item, with its gauge where it has a window."""
    value = None if _of(figure, "missing") else _of(figure, "value")
    placed = lay_out_gauge(value, _of(figure, "low"), _of(figure, "high"))
    return {"figure": figure, "gauge": placed, **_gauge_words(figure, placed)}


@register.inclusion_tag("components/gauge.html")
def gauge(
    name: str,
    value: float | None,
    low: float | None,
    high: float | None,
    value_text: str = "",
    unit: str = "",
    low_text: str = "",
    high_text: str = "",
) -> dict[str, Any]:
    """Draw a gauge alone; needs at least one limit."""
    words = {"name": name, "value_text": value_text, "unit": unit}
    words |= {"low_text": low_text, "high_text": high_text}
    placed = lay_out_gauge(value, low, high)
    return {"gauge": placed, **words, **_gauge_words(words, placed)}


def _gauge_words(figure: Any, placed: Gauge | None) -> dict[str, str]:
    """Say a gauge in one sentence: name, value and where it stands to its window."""
    if placed is None:
        return {"sentence": "", "side_word": ""}
    low, high = _of(figure, "low_text") or "", _of(figure, "high_text") or ""
    if low and high:
        window = _("window %(low)s to %(high)s") % {"low": low, "high": high}
    elif low:
        window = _("window from %(low)s up") % {"low": low}
    else:
        window = _("window up to %(high)s") % {"high": high}
    if placed.pointer is None:
        stated = _("%(name)s not logged") % {"name": _of(figure, "name")}
        return {"sentence": f"{stated}, {window}", "side_word": ""}
    amount = f"{_of(figure, 'value_text')} {_of(figure, 'unit') or ''}".strip()
    sides = {"inside": _("inside"), "above": _("above"), "below": _("below")}
    side = sides[placed.side]
    return {"sentence": f"{_of(figure, 'name')} {amount}, {side}, {window}", "side_word": side}


@register.inclusion_tag("components/bead_strip.html")
def bead_strip(
    length_mm: float | None,
    student: Sequence[Any],
    instructor: Sequence[Any] = (),
    student_name: str = "",
    instructor_name: str = "",
    inches: bool = False,
) -> dict[str, Any]:
    """Draw the bead with the student's marks above and the instructor's below, and list them."""
    strip = lay_out_strip(length_mm, _placeable(student), _placeable(instructor), inches=inches)
    above = student_name or _("You")
    below = instructor_name or _("Instructor")
    return {
        "strip": strip,
        "above_name": above,
        "below_name": below,
        "rows": _mark_rows(student, instructor, above, below, inches=inches),
    }


def _placeable(marks: Iterable[Any]) -> list[BeadMark]:
    return [
        BeadMark(_of(mark, "key"), _of(mark, "group"), _of(mark, "at_mm"), _of(mark, "length_mm"))
        for mark in marks
        if _of(mark, "at_mm") is not None
    ]


def _mark_rows(
    student: Sequence[Any], instructor: Sequence[Any], above: str, below: str, *, inches: bool
) -> list[dict[str, Any]]:
    """One row a number: who saw it is said only where two people looked."""
    seen = {_of(mark, "key"): ("instructor", mark) for mark in instructor}
    seen |= {_of(mark, "key"): ("student", mark) for mark in student}
    shared = {_of(mark, "key") for mark in student} & {_of(mark, "key") for mark in instructor}
    rows = []
    for key, (side, mark) in sorted(seen.items()):
        name = above if side == "student" else below
        only = _("only you") if name == _("You") else _("only %(who)s") % {"who": name}
        who = (_("both") if key in shared else only) if instructor else ""
        rows.append({"mark": mark, "side": side, "who": who, "place": _place(mark, inches=inches)})
    return rows


def _place(mark: Any, *, inches: bool) -> str:
    at, length = _of(mark, "at_mm"), _of(mark, "length_mm")
    if at is None:
        return _("place not logged")
    if not length:
        return _("at %(at)s") % {"at": length_text(at, inches=inches)}
    end = length_text(at + length, inches=inches)
    start = length_text(at, inches=inches).partition(NO_BREAK_SPACE)[0]
    return _("from %(start)s to %(end)s") % {"start": start, "end": end}


# Progress, levels and what a coupon is


register.filter("state_word", state_word)


@register.inclusion_tag("components/groove.html")
def groove(state: int, bare: bool = False) -> dict[str, Any]:
    """Draw the state of an exercise as a groove that fills up, with its word unless ``bare``."""
    return {"state": state, "bare": bare}


@register.simple_tag(name="state_cell")
def draw_state_cell(
    state: int, url: str = "", name: str = "", stuck: bool = False, waiting: bool = False
) -> SafeString:
    """Draw one cell of the section grid; ``name`` is the exercise, for ears."""
    return state_cell(state, url, name, stuck=stuck, waiting=waiting)


@register.inclusion_tag("components/level.html")
def level(level: int | None) -> dict[str, Any]:
    """Draw a level, 1 to 4, in its square; None is a dashed one."""
    return {"level": level}


@register.inclusion_tag("components/slots.html")
def slots(good: int, wanted: int) -> dict[str, Any]:
    """Draw the good coupons so far and those still wanted."""
    return {"good": range(good), "open": range(max(wanted - good, 0))}


@register.inclusion_tag("components/title_block.html")
def title_block(
    cells: Sequence[Any], joint: str = "", thickness_text: str = "", leg_text: str = ""
) -> dict[str, Any]:
    """Draw labelled cells ``{label, value, small}``, beside the joint where it is known."""
    size = {"thickness_text": thickness_text, "leg_text": leg_text}
    return {"cells": cells, "joint": joint, **size}


@register.inclusion_tag("components/joint_drawing.html")
def joint_drawing(joint: str, thickness_text: str = "", leg_text: str = "") -> dict[str, Any]:
    """Draw a joint by its engine name: bead_on_plate, butt, lap, tee, corner or edge."""
    return {"joint": joint, "thickness_text": thickness_text, "leg_text": leg_text}


@register.inclusion_tag("components/rubric_row.html")
def rubric_row(row: Any) -> dict[str, Any]:
    """Draw one criterion with its joined level cells."""
    return {"row": row}


@register.inclusion_tag("components/icon.html")
def icon(name: str) -> dict[str, Any]:
    """Draw a sign beside its word: go, tick, kept."""
    return {"id": f"i-{name}"}


@register.simple_tag
def no_onward_disclosure() -> str:
    """Write what whoever gets a file about a student is told."""
    return str(NO_ONWARD_DISCLOSURE)
