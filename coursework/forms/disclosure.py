"""To whom a file goes that leaves the school, and why."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from coursework.models import Disclosure


class DisclosureForm(forms.Form):
    """To whom, why, and which interest or consent that is.

    A page from which a file may stay in the school as well has a tick before it: with
    ``optional=True`` the rest is asked for only where ``leaves`` is ticked.
    """

    leaves = forms.BooleanField(label=gettext_lazy("This file leaves the school"), required=False)
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

    def __init__(self, *args: Any, optional: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["why"].widget.template_name = "forms/cells.html"
        if optional:
            for name in ("to", "why", "note"):
                self.fields[name].required = False
        else:
            del self.fields["leaves"]
        self.optional = optional

    def clean(self) -> dict[str, Any]:
        """Ask for the rest where the file leaves the school."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if self.optional and cleaned.get("leaves"):
            for name in ("to", "why", "note"):
                if not cleaned.get(name) and name not in self.errors:
                    self.add_error(name, self.fields[name].error_messages["required"])
        return cleaned

    @property
    def is_disclosure(self) -> bool:
        """Whether the file leaves the school, once the form is valid."""
        return not self.optional or bool(self.cleaned_data["leaves"])


class DiscloseForm(DisclosureForm):
    """The same on a page of its own: what the file is, too."""

    what = forms.CharField(
        label=gettext_lazy("What"),
        max_length=160,
        help_text=gettext_lazy("Which file, with its number where it has one."),
        error_messages={"required": gettext_lazy("Say which file it is.")},
    )
    field_order = ("what", "to", "why", "note")
