"""The form that moves a student to another section."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from coursework.models import Section


class MoveForm(forms.Form):
    """Where to, and why."""

    section = forms.ModelChoiceField(
        label=_("To section"),
        queryset=Section.objects.none(),
        empty_label=None,
        error_messages={
            "required": _("Choose the section to move to."),
            "invalid_choice": _("Choose a section of the same plan and term."),
        },
    )
    reason = forms.CharField(
        label=_("Why"),
        max_length=200,
        help_text=_("Kept with the move."),
        error_messages={"required": _("Say why in a few words.")},
    )

    def __init__(self, *args: Any, sections: QuerySet[Section], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["section"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 -- as declared
        field.queryset = sections
