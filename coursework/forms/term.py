"""The form of a term: its name, its first and its last day."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.models import School, Term

_DAY = {"type": "date"}
_NOT_A_DAY = {"invalid": gettext_lazy("Type the day like 2026-08-24.")}


def day_field(label: Any) -> forms.DateField:
    """Return a field for one day."""
    widget = forms.DateInput(attrs=_DAY, format="%Y-%m-%d")
    return forms.DateField(label=label, widget=widget, error_messages=_NOT_A_DAY)


class TermForm(forms.Form):
    """A new term, or one that is there.

    Parameters
    ----------
    school : School
        Whose term it is.
    term : Term or None
        The term that is changed.
    """

    name = forms.CharField(
        label=gettext_lazy("Name"), max_length=60, help_text=gettext_lazy("Such as Fall 2026.")
    )
    starts_on = day_field(gettext_lazy("First day"))
    ends_on = day_field(gettext_lazy("Last day"))

    def __init__(self, data: Any = None, *, school: School, term: Term | None = None) -> None:
        names = ("name", "starts_on", "ends_on")
        initial = {name: getattr(term, name) for name in names} if term else {}
        super().__init__(data, initial=initial)
        self.others = school.terms.exclude(pk=term.pk) if term else school.terms.all()

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        if self.others.filter(name=name).exists():
            raise forms.ValidationError(_("There is a term of this name already."), "taken")
        return name

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        first, last = data.get("starts_on"), data.get("ends_on")
        if isinstance(first, date) and isinstance(last, date) and last <= first:
            self.add_error("ends_on", _("The last day comes after the first."))
        return data
