"""What the log of disclosures is narrowed by."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy

from coursework.models import Disclosure, User


class ByName(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A person of a list, by last name."""

    def label_from_instance(self, obj: Any) -> str:
        named = f"{obj.last_name}, {obj.first_name}"
        return f"{named} ({obj.student_number})" if obj.student_number else named


class DisclosureFilter(forms.Form):
    """Narrows the log to one student."""

    student = ByName(
        User.objects.none(),
        label=gettext_lazy("Student"),
        required=False,
        empty_label=gettext_lazy("all"),
        error_messages={"invalid_choice": gettext_lazy("This is not on the list; choose another.")},
    )

    def __init__(self, data: Mapping[str, Any], *, students: QuerySet[User]) -> None:
        super().__init__(data)
        student = self.fields["student"]
        assert isinstance(student, forms.ModelChoiceField)  # noqa: S101 -- as declared
        student.queryset = students

    def chosen(self, disclosures: QuerySet[Disclosure]) -> QuerySet[Disclosure]:
        """Return those about the student; what cannot be read narrows nothing."""
        self.is_valid()
        student = self.cleaned_data.get("student")
        if student:
            return disclosures.filter(enrolments__user=student).distinct()
        return disclosures
