"""The form that chooses labels: whose, on which sheet, and where on it to begin."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.forms.typed_numbers import parse_number
from coursework.label_sheets import PAPER_NAMES, PRESETS, LabelSheet
from coursework.models import Coupon, Enrolment

OWN = "own"
LONGEST_MM = 300.0
LENGTHS = {
    "top_mm": gettext_lazy("Above the first row (mm)"),
    "bottom_mm": gettext_lazy("Below the last row (mm)"),
    "left_mm": gettext_lazy("Left of the first column (mm)"),
    "right_mm": gettext_lazy("Right of the last column (mm)"),
    "across_mm": gettext_lazy("Between columns (mm)"),
    "down_mm": gettext_lazy("Between rows (mm)"),
}
MOST_CHOSEN = 200


class LengthField(forms.CharField):
    """A length in mm, typed with a point or a comma; empty is none given."""

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        return parse_number(text) if text else None

    def validate(self, value: Any) -> None:
        super().validate(value)
        if value is not None and not 0 <= value <= LONGEST_MM:
            raise forms.ValidationError(_("Type a length from 0 to %d mm.") % LONGEST_MM)

    def run_validators(self, value: Any) -> None:
        """Those of a text do not concern a number."""


class LabelsForm(forms.Form):
    """Which labels, on which sheet; once valid, ``sheet`` is the one described.

    Parameters
    ----------
    students, coupons : QuerySet
        Those of the section; ``of`` says which of them labels are for.
    """

    of = forms.ChoiceField(
        choices=[("students", ""), ("coupons", "")],
        required=False,
        widget=forms.HiddenInput,
    )
    student = forms.ModelMultipleChoiceField(
        label=gettext_lazy("Students"), queryset=Enrolment.objects.none(), required=False
    )
    coupon = forms.ModelMultipleChoiceField(
        label=gettext_lazy("Coupons"), queryset=Coupon.objects.none(), required=False
    )
    copies = forms.IntegerField(
        label=gettext_lazy("Labels for each student"),
        min_value=1,
        max_value=24,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    preset = forms.ChoiceField(label=gettext_lazy("Sheet"))
    start = forms.IntegerField(
        label=gettext_lazy("Begin at label"),
        help_text=gettext_lazy("Counted row by row; 1 on a sheet that nothing is missing from."),
        min_value=1,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    page = forms.ChoiceField(
        label=gettext_lazy("Paper"), choices=list(PAPER_NAMES.items()), required=False
    )
    rows = forms.IntegerField(
        label=gettext_lazy("Rows"),
        min_value=1,
        max_value=20,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    columns = forms.IntegerField(
        label=gettext_lazy("Columns"),
        min_value=1,
        max_value=10,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )

    def __init__(
        self,
        *args: Any,
        students: QuerySet[Enrolment],
        coupons: QuerySet[Coupon],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["student"].queryset = students  # type: ignore[attr-defined]
        self.fields["coupon"].queryset = coupons  # type: ignore[attr-defined]
        own = (OWN, _("Another sheet, described below"))
        self.fields["preset"].choices = [  # type: ignore[attr-defined]
            *((name, str(sheet)) for name, sheet in PRESETS.items()),
            own,
        ]
        for name, label in LENGTHS.items():
            self.fields[name] = LengthField(
                label=label,
                required=False,
                max_length=12,
                widget=forms.TextInput(attrs={"inputmode": "decimal"}),
            )
        self.sheet: LabelSheet = PRESETS["letter-30"]

    def clean(self) -> dict[str, Any]:
        """Describe the sheet, and see that something is chosen for it."""
        cleaned: dict[str, Any] = super().clean() or {}
        cleaned["of"] = cleaned.get("of") or "students"
        chosen = "coupon" if cleaned["of"] == "coupons" else "student"
        if chosen not in self.errors and not cleaned.get(chosen):
            self.add_error(chosen, _("Choose at least one."))
        elif len(cleaned.get(chosen, ())) > MOST_CHOSEN:
            self.add_error(chosen, _("Choose at most %d at a time.") % MOST_CHOSEN)
        if cleaned.get("preset") in PRESETS:
            self.sheet = PRESETS[cleaned["preset"]]
        elif cleaned.get("preset") == OWN:
            self._describe(cleaned)
        start = cleaned.get("start") or 1
        if not self.errors and start > self.sheet.count:
            self.add_error("start", _("The sheet has %d labels.") % self.sheet.count)
        return cleaned

    def _describe(self, cleaned: dict[str, Any]) -> None:
        for name in ("page", "rows", "columns", *LENGTHS):
            if name not in self.errors and cleaned.get(name) in (None, ""):
                self.add_error(name, _("Measure it on your sheet and type it."))
        if self.errors:
            return
        names = ("page", "rows", "columns", *LENGTHS)
        self.sheet = LabelSheet(**{name: cleaned[name] for name in names})
        for fault in self.sheet.faults():
            self.add_error("preset", fault)
