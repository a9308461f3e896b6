"""The target windows of an exercise, typed in either unit system or proposed by the guide."""

from dataclasses import dataclass
from typing import Any, Final, cast, get_args

from django import forms
from django.forms.utils import ErrorDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

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


def _ends(figure: str, window: tuple[float, float], unit: str) -> tuple[str, str]:
    """Write both ends with three figures, as dials are read; with more where they lie closer."""
    low, high = window
    written = (
        (_written(figure, low, unit, figures), _written(figure, high, unit, figures))
        for figures in range(3, 17)
    )
    return next(pair for pair in written if pair[0] != pair[1])


class TypedForm(forms.Form):
    """A form that can be shown as it was typed, before anybody wants to store it."""

    judged = True

    def full_clean(self) -> None:
        if self.judged:
            super().full_clean()
        else:
            self._errors, self.cleaned_data = ErrorDict(), {}


class WindowForm(TypedForm):
    """From and to, in the unit chosen beside them; both or neither.

    Parameters
    ----------
    stored : pair of float or None
        The window that is there already [base unit]: it stays to the last digit where only what
        the page shows of it comes back.
    """

    low = NumberField()
    high = NumberField(above_zero=True)
    unit = forms.ChoiceField()

    def __init__(
        self,
        *args: Any,
        figure: TargetWindow.Figure,
        stored: tuple[float, float] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.figure, self.stored = figure, stored
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
        if self.stored and tuple(map(float, _ends(self.figure, self.stored, str(unit)))) == (
            low,
            high,
        ):
            return self.stored
        symbol = ENGINE_NAMES.get(str(unit), str(unit))
        return to_base(low, symbol), to_base(high, symbol)


class WindowSet(forms.BaseFormSet):  # type: ignore[type-arg]  # not generic when it runs
    """One row for each figure that an exercise can aim at, with the window stored for it."""

    def __init__(self, *args: Any, stored: Windows | None = None, **kwargs: Any) -> None:
        self.stored = stored or {}
        super().__init__(*args, **kwargs)

    def initial_form_count(self) -> int:
        return 0

    def total_form_count(self) -> int:
        return len(FIGURES)

    def get_form_kwargs(self, index: int | None) -> dict[str, Any]:
        known = super().get_form_kwargs(index)
        # A unit that was chosen alone is no change: every row is judged.
        figure = FIGURES[index or 0]
        stored = self.stored.get(figure.value)
        return {**known, "figure": figure, "stored": stored, "empty_permitted": False}

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
            low, high = _ends(figure.value, ends, unit)
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
