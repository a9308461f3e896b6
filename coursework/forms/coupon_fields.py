"""The fields of the coupon form: one row a member of the coupon document."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coursework.choices import (
    LEVEL_WORDS,
    NOT_LOGGED,
    OXIDE_TOOLS,
    WORDS,
    choices,
    imperfection_choices,
)
from coursework.forms.fields import ClockField, MeasureField, WholeNumberField

IMPERFECTION_ROWS = 4
ANSWERED = "done"
NOTHING = "none"
STEPS = (
    "strip_coating",
    "dress_edge",
    "degrease",
    "dry",
    "remove_oxide",
    "wipe",
    "blow_off",
    "cover",
)
# Parts of a row of *What do you see?*, and the members of the document that they are.
SEEN_MEMBERS = {
    "number": "number",
    "count": "count",
    "size": "size_mm",
    "at": "at_mm",
    "length": "length_mm",
}
STEP_FIELDS = {
    "degrease": ("agent",),
    "remove_oxide": ("tool", "tool_kept_for", "pressure"),
}


def step_fields(step: str) -> dict[str, forms.Field]:
    """Return the fields of one cleaning step: its place, its time, and what was used."""
    label = WORDS["step"][step]
    made: dict[str, forms.Field] = {
        f"step_{step}_place": WholeNumberField(label=label, low=1),
        f"step_{step}_at": ClockField(label=_("at")),
    }
    words = {
        "agent": (_("with"), choices("agent", str(NOT_LOGGED))),
        "tool": (_("with"), choices("tool", str(NOT_LOGGED), OXIDE_TOOLS)),
        "tool_kept_for": (_("kept"), choices("tool_kept_for", str(NOT_LOGGED))),
        "pressure": (_("pressure"), choices("pressure", str(NOT_LOGGED))),
    }
    for part in STEP_FIELDS.get(step, ()):
        name, options = words[part]
        field = forms.ChoiceField(label=f"{label}, {name}", choices=options, required=False)
        # Not a setting of Django's fields: `forms/field.html` shows it where the step is in view.
        vars(field)["short_label"] = name
        made[f"step_{step}_{part}"] = field
    return made


def imperfection_fields(row: int) -> dict[str, forms.Field]:
    """Return the fields of one row of *What do you see?*."""
    return {
        f"seen_{row}_number": forms.ChoiceField(
            label=_("What"), choices=imperfection_choices(str(_("nothing here"))), required=False
        ),
        f"seen_{row}_count": WholeNumberField(label=_("How many"), low=1),
        f"seen_{row}_size": MeasureField("length", label=_("How big"), unit="mm"),
        f"seen_{row}_at": MeasureField("length", label=_("Where, from the start"), unit="mm"),
        f"seen_{row}_length": MeasureField("length", label=_("Along the bead"), unit="mm"),
    }


def answer_fields() -> dict[str, forms.Field]:
    """Return the questions that are not members of the coupon document."""
    made: dict[str, forms.Field] = {
        "cleaning_answer": _cells(
            _("Cleaning"),
            [(ANSWERED, _("I cleaned it: the steps are below")), (NOTHING, _("Nothing cleaned"))],
        ),
        "look_answer": _cells(
            _("What do you see?"),
            [(NOTHING, _("Nothing to see")), (ANSWERED, _("What I saw is below"))],
        ),
        "arc_started_at": ClockField(
            label=_("Arc started at"), help_text=_("Time of day, such as 10:49.")
        ),
        "reason": forms.CharField(
            label=_("Something odd about a value?"),
            help_text=_("An unusual value is saved as it is. Say why, if you know."),
            widget=forms.Textarea(attrs={"rows": 2}),
            max_length=1000,
            required=False,
        ),
        "predicted_level": forms.TypedChoiceField(
            label=_("What will your instructor give this one?"),
            help_text=_("Does not count. You will see both side by side."),
            choices=[(str(digit), words) for digit, words in LEVEL_WORDS.items()],
            widget=forms.RadioSelect,
            coerce=int,
            empty_value=None,
            required=False,
        ),
    }
    made["predicted_level"].widget.template_name = "forms/level_cells.html"
    return made


def _cells(label: Any, options: list[tuple[str, Any]]) -> forms.ChoiceField:
    """Return radios drawn as joined cells, a thumb wide."""
    field = forms.ChoiceField(
        label=label, choices=options, widget=forms.RadioSelect, required=False
    )
    field.widget.template_name = "forms/cells.html"
    return field
