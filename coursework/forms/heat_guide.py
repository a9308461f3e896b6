"""What the heat guide asks: readings of one run, and the plate that it was welded on."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from coursework.choices import UNKNOWN_ALLOY, WORDS, alloy_choices
from coursework.forms.fields import Measure, MeasureField
from coursework.models.facts import Document


def reading(quantity: str, label: Any, *, unit: str = "", hint: Any = "") -> MeasureField:
    """Return a field for one reading: nothing can be worked out from zero."""
    return MeasureField(quantity, label=label, unit=unit, help_text=hint, above_zero=True)


#: What is asked of the plate and the cycle, apart from the readings.
OF_THE_PLATE = ("alloy", "t6", "thickness_mm", "plate_length_mm", "plate_width_mm", "en_percent")


class HeatGuideForm(forms.Form):
    """Volts, amps and speed, or what the machine shows; and the plate, where it is known."""

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
    alloy = forms.ChoiceField(label=_("Alloy"), required=False)
    t6 = forms.BooleanField(label=_("In a T6 temper"), required=False)
    thickness_mm = reading("length", _("Plate thickness"))
    plate_length_mm = reading("length", _("Plate length"))
    plate_width_mm = reading("length", _("Plate width"), hint=_("Of one plate, not of the joint."))
    en_percent = MeasureField(
        "en_percent",
        label=_("AC balance"),
        help_text=_("Share of the cycle at electrode negative, for the share of the tungsten."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["process"].widget.template_name = "forms/cells.html"
        alloy = self.fields["alloy"]
        if isinstance(alloy, forms.ChoiceField):
            alloy.choices = alloy_choices(str(_("choose")))

    def clean_en_percent(self) -> Measure | None:
        balance: Measure | None = self.cleaned_data["en_percent"]
        if balance and balance.value > 100:
            raise ValidationError(_("A share lies between 0 and 100 %."), "share")
        return balance

    @property
    def readings(self) -> list[forms.BoundField]:
        """The fields of what was read."""
        return [field for field in self if field.name not in OF_THE_PLATE]

    @property
    def of_the_plate(self) -> list[forms.BoundField]:
        """The fields of the plate and the cycle."""
        return [field for field in self if field.name in OF_THE_PLATE]

    @property
    def plate_is_open(self) -> bool:
        """Whether anything was said of the plate, so that it is not folded away."""
        return any(self.data.get(name) for name in OF_THE_PLATE)

    def document(self) -> Document:
        """Return the readings as a coupon document; without a process where none was chosen."""
        said = self.cleaned_data
        document: Document = {
            name: value.value
            for name, value in said.items()
            if isinstance(value, Measure) and name not in ("thickness_mm", "en_percent")
        }
        if said["process"]:
            document["process"] = said["process"]
        if said["pulsed"]:
            document["transfer"] = "pulsed"
        if metal := self._metal():
            document["base_metals"] = [metal]
        if said["process"] == "GTAW" and said["en_percent"]:
            document["ac"] = {"en_percent": said["en_percent"].value}
        return document

    def _metal(self) -> Document:
        said, metal = self.cleaned_data, {}
        if said["alloy"] not in ("", UNKNOWN_ALLOY):
            metal["alloy"] = said["alloy"]
        if said["t6"]:
            metal["temper"] = "T6"
        if said["thickness_mm"]:
            metal["thickness_mm"] = said["thickness_mm"].value
        return metal
