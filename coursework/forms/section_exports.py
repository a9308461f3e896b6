"""Which file of a section leaves the school, to whom and why."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from coursework.exports.files import SECTION_FILES
from coursework.forms.disclosure import DisclosureForm


class LeavingFileForm(DisclosureForm):
    """One of the files of a section, for somebody outside of the school."""

    file = forms.ChoiceField(
        label=gettext_lazy("File"),
        error_messages={
            "required": gettext_lazy("Choose the file."),
            "invalid_choice": gettext_lazy("Choose the file."),
        },
    )
    field_order = ("file", "to", "why", "note")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen = self.fields["file"]
        assert isinstance(chosen, forms.ChoiceField)  # noqa: S101 -- as declared
        chosen.choices = [
            (name, f"{each.title} ({each.extension})") for name, each in SECTION_FILES.items()
        ]
