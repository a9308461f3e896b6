"""The form of what a school sets, but for its own sets of limits."""

import zoneinfo
from typing import Any, Final

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.forms.fields import NumberField, WholeNumberField
from coursework.models import SchoolSettings

NEAR: Final = (
    "America/New_York",
    "America/Chicago",
    "America/Denver",
    "America/Phoenix",
    "America/Los_Angeles",
    "America/Anchorage",
    "Pacific/Honolulu",
)
FIELDS: Final = (
    "units",
    "time_zone",
    "cleaning_window_h",
    "cleaning_redo_h",
    "dcen_with_helium",
    "hold_grades",
    "second_grading_percent",
)


def time_zones() -> list[tuple[Any, list[tuple[str, str]]]]:
    """Return the time zones that this machine knows, those of the United States first."""
    rest = sorted(name for name in zoneinfo.available_timezones() if "/" in name or name == "UTC")
    groups: dict[str, list[str]] = {
        _("United States"): [name for name in NEAR if name in rest],
        _("Everywhere"): [name for name in rest if name not in NEAR],
    }
    return [
        (words, [(name, name.replace("_", " ")) for name in names])
        for words, names in groups.items()
    ]


class SettingsForm(forms.Form):
    """Units, time zone, cleaning, helium, and how grades are given."""

    units = forms.ChoiceField(
        label=gettext_lazy("Units"), choices=SchoolSettings.Units.choices, widget=forms.RadioSelect
    )
    time_zone = forms.ChoiceField(
        label=gettext_lazy("Time zone"),
        error_messages={"invalid_choice": gettext_lazy("Choose a time zone of the list.")},
    )
    cleaning_window_h = NumberField(
        label=gettext_lazy("Cleaning window, hours"),
        required=True,
        above_zero=True,
        help_text=gettext_lazy("From cleaning to the arc; after it a coupon is warned."),
    )
    cleaning_redo_h = NumberField(
        label=gettext_lazy("Clean again after, hours"),
        required=True,
        above_zero=True,
        help_text=gettext_lazy("After it everything is done again. Common practice, no source."),
    )
    dcen_with_helium = forms.BooleanField(
        label=gettext_lazy("GTAW on DCEN with helium is taught here"), required=False
    )
    hold_grades = forms.BooleanField(
        label=gettext_lazy("Grades are held until they are released together"), required=False
    )
    second_grading_percent = WholeNumberField(
        label=gettext_lazy("Graded a second time, percent"),
        required=True,
        help_text=gettext_lazy("A random share of graded coupons, graded blind by another."),
    )

    def __init__(self, data: Any = None, *, settings: SchoolSettings) -> None:
        super().__init__(data, initial={name: getattr(settings, name) for name in FIELDS})
        zone = self.fields["time_zone"]
        assert isinstance(zone, forms.ChoiceField)  # noqa: S101 -- as declared
        zone.choices = time_zones()
        self.fields["units"].widget.template_name = "forms/cells.html"

    def clean_second_grading_percent(self) -> int:
        share: int = self.cleaned_data["second_grading_percent"]
        if share > 100:
            raise forms.ValidationError(_("A share is 100 percent at most."), "share")
        return share

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        window, redo = data.get("cleaning_window_h"), data.get("cleaning_redo_h")
        if window is not None and redo is not None and redo < window:
            self.add_error(
                "cleaning_redo_h",
                _("This is the longer of the two times: type %(h)g or more.") % {"h": window},
            )
        return data
