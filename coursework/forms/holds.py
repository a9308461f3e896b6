"""The form that puts records on hold."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.forms.disclosures import ByName
from coursework.models import Section, User

GONE = gettext_lazy("This is not on the list; choose another.")


class SectionChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A section with its term."""

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj}, {obj.term}"


class HoldForm(forms.Form):
    """Whose records stay: a student's or a section's, and why."""

    student = ByName(
        User.objects.none(),
        label=gettext_lazy("All records of a student"),
        required=False,
        empty_label=gettext_lazy("none"),
        error_messages={"invalid_choice": GONE},
    )
    section = SectionChoice(
        Section.objects.none(),
        label=gettext_lazy("Or those of a section"),
        required=False,
        empty_label=gettext_lazy("none"),
        error_messages={"invalid_choice": GONE},
    )
    reason = forms.CharField(
        label=gettext_lazy("Why"),
        max_length=300,
        help_text=gettext_lazy("Such as: the student asked on May 3 to see the file."),
        error_messages={"required": gettext_lazy("Say why in a few words.")},
    )

    def __init__(
        self, *args: Any, students: QuerySet[User], sections: QuerySet[Section], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        for name, rows in (("student", students), ("section", sections)):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 -- as declared
            field.queryset = rows

    def clean(self) -> dict[str, Any]:
        """Want one of the two, not both."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if not self.errors.keys() & {"student", "section"}:
            chosen = [cleaned.get("student"), cleaned.get("section")]
            if sum(map(bool, chosen)) != 1:
                self.add_error("student", _("Choose a student or a section, one of the two."))
        return cleaned

    @property
    def target(self) -> User | Section:
        """Whose records are to stay, once the form is valid."""
        found: User | Section = self.cleaned_data["student"] or self.cleaned_data["section"]
        return found
