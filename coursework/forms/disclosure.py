"""To whom a file goes that leaves the school, and why."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from coursework.models import Disclosure


class DisclosureForm(forms.Form):
    """To whom, why, and which interest or consent that is."""

    to = forms.CharField(
        label=gettext_lazy("To whom"),
        max_length=160,
        help_text=gettext_lazy("Person and organization."),
        error_messages={"required": gettext_lazy("Say who gets the file.")},
    )
    why = forms.ChoiceField(
        label=gettext_lazy("Why"),
        choices=Disclosure.Why.choices,
        widget=forms.RadioSelect,
        error_messages={
            "required": gettext_lazy("Choose why they get it."),
            "invalid_choice": gettext_lazy("Choose why they get it."),
        },
    )
    note = forms.CharField(
        label=gettext_lazy("Which interest, consent or reason"),
        max_length=300,
        help_text=gettext_lazy(
            "Such as: the student transfers there; consent of October 2, on file."
        ),
        error_messages={"required": gettext_lazy("Say it in a few words; it stays in the log.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["why"].widget.template_name = "forms/cells.html"


class DiscloseForm(DisclosureForm):
    """The same on a page of its own: what the file is, too."""

    what = forms.CharField(
        label=gettext_lazy("What"),
        max_length=160,
        help_text=gettext_lazy("Which file, with its number where it has one."),
        error_messages={"required": gettext_lazy("Say which file it is.")},
    )
    field_order = ("what", "to", "why", "note")
