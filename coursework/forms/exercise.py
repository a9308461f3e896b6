"""The form of an exercise, but for its target windows; and of a course plan to start with."""

from collections.abc import Iterable
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.choices import NO_FILLER, Choices, choices, filler_choices
from coursework.exercises import COLUMNS, Asked
from coursework.forms.exercise_windows import TypedForm
from coursework.forms.fields import Measure, MeasureField, WholeNumberField
from coursework.models import CoursePlan, Exercise, Rubric
from weldlog.engine.alloys import ALLOYS
from weldlog.engine.limit_sets import ALTERNATIVE, CLASSROOM, ISO_LEVELS, SETS

CHOOSE: Final = gettext_lazy("choose")
LENGTHS: Final = ("thickness_mm", "nominal_leg_mm")
WORDS: Final = ("process", "joint", "weld", "position")
MOST_COUPONS: Final = 60
LAST_WEEK: Final = 60
UNREADABLE: Final = {"invalid_choice": gettext_lazy("Choose one of the list.")}


def chosen(label: Any, **kwargs: Any) -> forms.ChoiceField:
    """Return a field whose list is filled when the form is made."""
    return forms.ChoiceField(
        label=label, error_messages=UNREADABLE, required=kwargs.pop("required", True), **kwargs
    )


class ExerciseForm(TypedForm):
    """What an exercise asks.

    Parameters
    ----------
    rubrics : QuerySet
        The rubrics that can be graded by.
    own_sets : iterable of str
        Names of the school's own sets of limits.
    """

    title = forms.CharField(label=gettext_lazy("Title"), max_length=80)
    process = chosen(gettext_lazy("Process"))
    joint = chosen(gettext_lazy("Joint"))
    weld = chosen(gettext_lazy("Weld"))
    position = chosen(gettext_lazy("Position"))
    alloy = chosen(gettext_lazy("Alloy"))
    temper = forms.CharField(
        label=gettext_lazy("Temper"),
        max_length=12,
        required=False,
        help_text=gettext_lazy("Such as H32 or T6."),
    )
    thickness_mm = MeasureField(
        "length",
        label=gettext_lazy("Thickness"),
        help_text=gettext_lazy("Such as 3.2 mm or 0.125 in."),
        above_zero=True,
        required=True,
    )
    filler = chosen(gettext_lazy("Filler"))
    nominal_leg_mm = MeasureField(
        "length",
        label=gettext_lazy("Leg wanted"),
        help_text=gettext_lazy("Of a fillet; leave it empty for other welds."),
        above_zero=True,
    )
    good_coupons_wanted = WholeNumberField(
        label=gettext_lazy("Good coupons wanted"), required=True, low=1
    )
    in_a_row_wanted = WholeNumberField(
        label=gettext_lazy("Of these in a row"),
        required=True,
        low=1,
        help_text=gettext_lazy("1 where they need not follow one another."),
    )
    check_test = chosen(gettext_lazy("Check test"), required=False)
    due_week = WholeNumberField(
        label=gettext_lazy("Due in week"),
        low=1,
        help_text=gettext_lazy("Of the term; empty for no week."),
    )
    acceptance_set = chosen(gettext_lazy("Limits that it is judged by"), required=False)
    rubric = forms.ModelChoiceField(
        label=gettext_lazy("Rubric"), queryset=Rubric.objects.none(), empty_label=CHOOSE
    )

    def __init__(
        self,
        *args: Any,
        rubrics: QuerySet[Rubric],
        own_sets: Iterable[str],
        asked: Asked | None = None,
        **kwargs: Any,
    ) -> None:
        kwargs.setdefault("initial", _initial(asked))
        super().__init__(*args, **kwargs)
        self.fields["rubric"].queryset = rubrics  # type: ignore[attr-defined]
        lists: dict[str, Choices] = {
            **{name: choices(name, str(CHOOSE)) for name in WORDS},
            "alloy": [("", CHOOSE), *((name, name) for name in ALLOYS)],
            "filler": filler_choices(str(CHOOSE)),
            "check_test": [*Exercise.CheckTest.choices],
            "acceptance_set": [*limit_sets(own_sets)],
        }
        for name, found in lists.items():
            stored = self.initial.get(name)
            gone = [(stored, stored)] if stored and stored not in dict(found) else []
            self.fields[name].choices = [*found, *gone]  # type: ignore[attr-defined]

    def clean_good_coupons_wanted(self) -> int | None:
        return _at_most(self.cleaned_data["good_coupons_wanted"], MOST_COUPONS)

    def clean_in_a_row_wanted(self) -> int | None:
        return _at_most(self.cleaned_data["in_a_row_wanted"], MOST_COUPONS)

    def clean_due_week(self) -> int | None:
        return _at_most(self.cleaned_data["due_week"], LAST_WEEK)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        good, in_a_row = data.get("good_coupons_wanted"), data.get("in_a_row_wanted")
        if good and in_a_row and in_a_row > good:
            said = _("Not more in a row than are wanted: %d at most.") % good
            self.add_error("in_a_row_wanted", said)
        if data.get("nominal_leg_mm") and data.get("weld") not in {"fillet", None}:
            self.add_error("nominal_leg_mm", _("Only a fillet has legs: clear this."))
        plate, weld = data.get("joint") == "bead_on_plate", data.get("weld")
        if weld and data.get("joint") and plate != (weld == "bead"):
            self.add_error("weld", _("A bead is welded on plate, and on plate only a bead."))
        return data

    def columns(self) -> dict[str, Any]:
        """Return what was typed by the names of ``exercises.COLUMNS``."""
        data = self.cleaned_data
        lengths = {name: data[name].value if data[name] else None for name in LENGTHS}
        filler = "" if data["filler"] == NO_FILLER else data["filler"]
        stated = data | lengths | {"filler": filler, "rubric_id": data["rubric"].pk}
        return {name: stated[name] for name in COLUMNS}


def limit_sets(own: Iterable[str]) -> Iterable[tuple[str, Any]]:
    """Yield the sets of limits that an exercise can name, the usual one first as blank."""
    words = {f"iso10042_{each}": _("ISO 10042, level %s") % each.upper() for each in ISO_LEVELS}
    words[ALTERNATIVE] = _("Classroom alternative")
    yield "", _("Classroom set")
    yield from ((name, words.get(name, name)) for name in SETS if name != CLASSROOM)
    yield from ((name, name) for name in own)


def _at_most(number: int | None, most: int) -> int | None:
    if number is not None and number > most:
        raise ValidationError(_("Type %d or less.") % most, "most")
    return number


def _initial(asked: Asked | None) -> dict[str, Any]:
    if asked is None:
        return {"good_coupons_wanted": 3, "in_a_row_wanted": 1}
    lengths = {
        name: Measure(value, f"{value:g}", "mm")
        for name in LENGTHS
        if (value := asked.columns[name]) is not None
    }
    known = {"filler": asked.columns["filler"] or NO_FILLER, "rubric": asked.columns["rubric_id"]}
    return dict(asked.columns) | {"nominal_leg_mm": None} | lengths | known


class PlanStartForm(forms.Form):
    """Code and title of a new course plan, and the plan whose exercises it copies."""

    like = forms.ModelChoiceField(
        label=gettext_lazy("Copy the exercises of"),
        queryset=CoursePlan.objects.none(),
        required=False,
        empty_label=gettext_lazy("none: begin with an empty plan"),
    )
    code = forms.CharField(
        label=gettext_lazy("Code"), max_length=20, help_text=gettext_lazy("Such as ALW 12 B.")
    )
    title = forms.CharField(label=gettext_lazy("Title"), max_length=120)

    def __init__(self, *args: Any, plans: QuerySet[CoursePlan], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.plans = plans
        self.fields["like"].queryset = plans  # type: ignore[attr-defined]

    def clean_code(self) -> str:
        code: str = self.cleaned_data["code"]
        if self.plans.filter(code=code).exists():
            raise ValidationError(_("There is a course plan of this code already."), "taken")
        return code
