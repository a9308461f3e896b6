"""What the heat guide asks: readings of one run."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coursework.choices import WORDS
from coursework.forms.fields import Measure, MeasureField
from coursework.models.facts import Document

READINGS = (
    "voltage_v",
    "current_a",
    "weld_length_mm",
    "arc_time_s",
    "travel_speed_mm_s",
    "arc_energy_kj",
    "mean_power_kw",
)


class HeatGuideForm(forms.Form):
    """Volts, amps and speed; or the energy or power that the machine shows."""

    process = forms.ChoiceField(
        label=_("Process"), choices=list(WORDS["process"].items()), required=False
    )
    pulsed = forms.BooleanField(label=_("Pulsed or otherwise shaped current"), required=False)
    voltage_v = MeasureField("voltage", label=_("Arc volts"))
    current_a = MeasureField("current", label=_("Current"))
    weld_length_mm = MeasureField("length", label=_("Weld length"), unit="in")
    arc_time_s = MeasureField("time", label=_("Arc time"), help_text=_("1:33 works too."))
    travel_speed_mm_s = MeasureField(
        "speed",
        label=_("Travel speed"),
        unit="in/min",
        help_text=_("In place of length and time."),
    )
    arc_energy_kj = MeasureField("energy", label=_("Energy shown by the machine"))
    mean_power_kw = MeasureField("power", label=_("Mean power shown by the machine"))

    def document(self) -> Document:
        """Return the readings as a coupon document."""
        data: dict[str, Any] = self.cleaned_data
        document: Document = {"process": data.get("process") or "GTAW"}
        for name in READINGS:
            value = data.get(name)
            if isinstance(value, Measure):
                document[name] = value.value
        if data.get("pulsed") and document["process"] == "GMAW":
            document["transfer"] = "pulsed"
        return document
