"""The target windows of an exercise, typed in either unit system or proposed by the guide."""

import math
from dataclasses import dataclass
from typing import Any, Final, cast, get_args

from django import forms
from django.forms.utils import ErrorDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.exercises import ROUNDING
from coursework.forms.fields import NumberField
from coursework.measures import ENGINE_NAMES, in_unit, units_of
from coursework.models import TargetWindow
from coursework.templatetags.weldlog_tags import significant
from weldlog.engine.facts import Process, Weld
from weldlog.engine.setup_guide import Range, starting_ranges
from weldlog.engine.units import to_base

PREFIX: Final = "window"
FIGURES: Final = tuple(TargetWindow.Figure)
#: What the guide speaks of, and to how many figures it is proposed.
PROPOSED: Final = {"travel_speed_mm_s": 2, "current_a": 3, "gas_flow_l_min": 2}

type Windows = dict[str, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the guide says for one figure [base unit]."""

    figure: str
    said: Range

    @property
    def label(self) -> str:
        return TargetWindow.Figure(self.figure).label


def propose(process: str, weld: str, thickness_mm: float) -> list[Proposal]:
    """Return windows from the starting ranges of the set-up guide; none where it prints none.

    A figure for which the sources print one number has no window.
    """
    if process not in get_args(Process) or weld not in get_args(Weld):
        return []
    ranges = starting_ranges(process, weld, thickness_mm)
    found = ((figure, getattr(ranges, figure, None)) for figure in PROPOSED)
    return [Proposal(figure, said) for figure, said in found if said and said.low < said.high]


def _units(figure: str) -> list[str]:
    return [unit for unit in units_of(figure) if unit]


def _written(figure: str, value: float, unit: str, figures: int) -> str:
    text = significant(in_unit(value, units_of(figure)[0], unit), figures)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _shortest(figure: str, value: float, unit: str) -> str:
    """Write a stored number with no more figures than it takes to find it again."""
    exact = in_unit(value, units_of(figure)[0], unit)
    texts = (_written(figure, value, unit, figures) for figures in range(2, 17))
    return next(text for text in texts if math.isclose(float(text), exact, rel_tol=ROUNDING / 2))


class TypedForm(forms.Form):
    """A form that can be shown as it was typed, before anybody wants to store it."""

    judged = True

    def full_clean(self) -> None:
        if self.judged:
            super().full_clean()
        else:
            self._errors, self.cleaned_data = ErrorDict(), {}


class WindowForm(TypedForm):
    """From and to, in the unit chosen beside them; both or neither."""

    low = NumberField()
    high = NumberField(above_zero=True)
    unit = forms.ChoiceField()

    def __init__(self, *args: Any, figure: TargetWindow.Figure, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.figure = figure
        self.name = figure.label
        unit = self.fields["unit"]
        assert isinstance(unit, forms.ChoiceField)  # noqa: S101 -- as declared
        unit.choices = [(each, each) for each in _units(figure.value)]
        for name, label in {"low": _("from"), "high": _("to"), "unit": _("unit")}.items():
            self.fields[name].label = f"{figure.label}, {label}"
            self.fields[name].short_label = label  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if self.errors:
            return data
        low, high = data["low"], data["high"]
        if (low is None) != (high is None):
            self.add_error("low" if low is None else "high", _("Type both ends, or neither."))
        elif low is not None and low >= high:
            self.add_error("high", _("The end of a window lies above its beginning."))
        return data

    def window(self) -> tuple[float, float] | None:
        """Return both ends [base unit], None where the figure has no window."""
        low, high, unit = (self.cleaned_data.get(name) for name in ("low", "high", "unit"))
        if low is None or high is None:
            return None
        symbol = ENGINE_NAMES.get(str(unit), str(unit))
        return to_base(low, symbol), to_base(high, symbol)


class WindowSet(forms.BaseFormSet):  # type: ignore[type-arg]  # not generic when it runs
    """One row for each figure that an exercise can aim at."""

    def initial_form_count(self) -> int:
        return 0

    def total_form_count(self) -> int:
        return len(FIGURES)

    def get_form_kwargs(self, index: int | None) -> dict[str, Any]:
        known = super().get_form_kwargs(index)
        # A unit that was chosen alone is no change: every row is judged.
        return {**known, "figure": FIGURES[index or 0], "empty_permitted": False}

    def windows(self) -> Windows:
        """Return the windows that were typed [base unit of each]."""
        found = {each.figure.value: each.window() for each in self.forms}
        return {figure: window for figure, window in found.items() if window}


WindowRows = cast(
    "type[WindowSet]",
    forms.formset_factory(
        WindowForm, formset=WindowSet, extra=0, max_num=len(FIGURES), absolute_max=len(FIGURES)
    ),
)


def shown(windows: Windows, *, metric: bool) -> list[dict[str, str]]:
    """Return stored windows as the rows of the form show them."""
    rows = []
    for figure in FIGURES:
        unit = _units(figure.value)[0 if metric else -1]
        ends = windows.get(figure.value)
        row = {"unit": unit}
        if ends:
            low, high = (_shortest(figure.value, end, unit) for end in ends)
            row |= {"low": low, "high": high}
        rows.append(row)
    return rows


def with_proposals(data: Any, proposals: list[Proposal]) -> Any:
    """Return what was typed, with the proposed windows in the units chosen on the page."""
    typed = data.copy()
    places = {figure.value: place for place, figure in enumerate(FIGURES)}
    for each in proposals:
        row = f"{PREFIX}-{places[each.figure]}"
        units = _units(each.figure)
        unit = typed.get(f"{row}-unit")
        unit = unit if unit in units else units[0]
        typed[f"{row}-unit"] = unit
        for name, end in (("low", each.said.low), ("high", each.said.high)):
            typed[f"{row}-{name}"] = _written(each.figure, end, unit, PROPOSED[each.figure])
    return typed


NO_PROPOSAL: Final = gettext_lazy(
    "The set-up guide prints no range for this process, weld and thickness. Type windows from "
    "your own practice, or leave them empty."
)
