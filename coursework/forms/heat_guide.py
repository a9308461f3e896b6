"""What the heat guide asks: readings of one run."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coursework.choices import WORDS
from coursework.forms.fields import Measure, MeasureField
from coursework.models.facts import Document


def reading(quantity: str, label: Any, *, unit: str = "", hint: Any = "") -> MeasureField:
    """Return a field for one reading: nothing can be worked out from zero."""
    return MeasureField(quantity, label=label, unit=unit, help_text=hint, above_zero=True)


class HeatGuideForm(forms.Form):
    """Volts, amps and speed; or the energy or power that the machine shows."""

    process = forms.ChoiceField(
        label=_("Process"),
        choices=[*WORDS["process"].items()],
        widget=forms.RadioSelect,
        required=False,
    )
    pulsed = forms.BooleanField(label=_("Pulsed or otherwise shaped current"), required=False)
    voltage_v = reading("voltage", _("Arc volts"), hint=_("As near the arc as you can read them."))
    current_a = reading("current", _("Current"))
    weld_length_mm = reading("length", _("Weld length"), unit="in")
    arc_time_s = reading("time", _("Arc time"), hint=_("Arc on, without pauses. 1:33 works too."))
    travel_speed_mm_s = reading(
        "speed", _("Travel speed"), unit="in/min", hint=_("In place of length and time.")
    )
    arc_energy_kj = reading(
        "energy", _("Energy shown by the machine"), hint=_("Of the whole run; needs its length.")
    )
    mean_power_kw = reading(
        "power", _("Mean power shown by the machine"), hint=_("Needs the travel speed.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["process"].widget.template_name = "forms/cells.html"

    def document(self) -> Document:
        """Return the readings as a coupon document; without a process where none was chosen."""
        document: Document = {
            name: value.value
            for name, value in self.cleaned_data.items()
            if isinstance(value, Measure)
        }
        if process := self.cleaned_data["process"]:
            document["process"] = process
        if self.cleaned_data["pulsed"]:
            document["transfer"] = "pulsed"
        return document
