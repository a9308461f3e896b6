"""What the filler guide asks: two alloys and what the part is for."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coursework.choices import alloy_choices

SERVICE = ("above_65_c", "anodised_after", "heat_treated_after")


class FillerGuideForm(forms.Form):
    """Two alloys and the service; sent as an address that can be kept."""

    alloy = forms.ChoiceField(label=_("First alloy"), required=False)
    other = forms.ChoiceField(label=_("Second alloy"), required=False)
    above_65_c = forms.BooleanField(
        label=_("In service above 65 °C (150 °F) for long"), required=False
    )
    anodised_after = forms.BooleanField(label=_("Anodized after welding"), required=False)
    heat_treated_after = forms.BooleanField(
        label=_("Solution treated and aged after welding"), required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, blank in (("alloy", _("choose")), ("other", _("the same"))):
            field = self.fields[name]
            if isinstance(field, forms.ChoiceField):
                field.choices = alloy_choices(str(blank))

    @property
    def metals(self) -> list[str]:
        """The alloys that were chosen, none to two; one of them is both sides of the joint."""
        return [name for each in ("alloy", "other") if (name := self.cleaned_data[each])]
