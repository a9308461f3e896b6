"""The form that opens and closes joining by code."""

from datetime import datetime, time, timedelta
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework import joining
from coursework.models import Section


class JoinCodeForm(forms.Form):
    """Whether the code works, until which day, and whether who joins has to wait.

    Parameters
    ----------
    section : Section
        With the settings of its school at hand: the day ends in the school's time zone.
    """

    is_open = forms.BooleanField(label=gettext_lazy("Students can join by code"), required=False)
    last_day = forms.DateField(
        label=gettext_lazy("Last day the code works"),
        help_text=gettext_lazy("Leave it empty for a code that works until you close it."),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": gettext_lazy("Type the day like 2026-09-14.")},
    )
    needs_approval = forms.BooleanField(
        label=gettext_lazy("Whoever joins waits until an instructor lets them in"), required=False
    )

    def __init__(self, *args: Any, section: Section, **kwargs: Any) -> None:
        self.zone = section.term.school.settings.zone
        kwargs["initial"] = {
            "is_open": section.joining_open,
            "last_day": joining.last_day(section) or "",
            "needs_approval": section.joining_needs_approval,
        }
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        """Refuse a last day that is over, where joining is to be open."""
        cleaned: dict[str, Any] = super().clean() or {}
        ends_at = self.ends_at()
        if cleaned.get("is_open") and ends_at and ends_at <= timezone.now():
            self.add_error("last_day", _("This day is over. Choose a later one, or none."))
        return cleaned

    def ends_at(self) -> datetime | None:
        """Return the midnight at which the last day ends, None where there is no last day."""
        day = self.cleaned_data.get("last_day")
        return datetime.combine(day + timedelta(days=1), time(), self.zone) if day else None
