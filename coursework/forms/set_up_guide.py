"""What the set-up guide asks: process, joint and thickness; and a balance to draw."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.choices import WORDS
from coursework.forms.fields import Measure, MeasureField


class SetUpGuideForm(forms.Form):
    """Three answers lead to starting ranges; sent as an address that can be kept."""

    process = forms.ChoiceField(
        label=gettext_lazy("Process"),
        choices=[*WORDS["process"].items()],
        widget=forms.RadioSelect,
        required=False,
    )
    joint = forms.ChoiceField(
        label=gettext_lazy("Joint"),
        choices=[*WORDS["joint"].items()],
        widget=forms.RadioSelect,
        required=False,
    )
    thickness_mm = MeasureField(
        "length",
        label=gettext_lazy("Thickness"),
        help_text=gettext_lazy("Of the thinner plate, such as 3.2 mm or 0.125 in."),
        above_zero=True,
    )
    en_percent = MeasureField(
        "en_percent",
        label=gettext_lazy("AC balance to draw"),
        help_text=gettext_lazy(
            "Share of the cycle at electrode negative. Some panels show the other half, EP."
        ),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("process", "joint"):
            self.fields[name].widget.template_name = "forms/cells.html"

    def clean_en_percent(self) -> Measure | None:
        balance: Measure | None = self.cleaned_data["en_percent"]
        if balance and balance.value > 100:
            raise ValidationError(_("A share lies between 0 and 100 %."), "share")
        return balance

    @property
    def lacking(self) -> list[str]:
        """The labels of what is still wanted for an answer."""
        wanted = ("process", "joint", "thickness_mm")
        return [str(self.fields[name].label) for name in wanted if not self.cleaned_data[name]]
