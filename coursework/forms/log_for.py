"""The form that picks for whom a coupon is logged, and which exercise it is of."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from coursework.models import Enrolment, Exercise


class StudentChoiceField(forms.ModelChoiceField):  # type: ignore[type-arg]
    """Students by name."""

    def label_from_instance(self, obj: Enrolment) -> str:
        return f"{obj.user.last_name}, {obj.user.first_name}"


class LogForForm(forms.Form):
    """A student of the section and an exercise of its plan."""

    student = StudentChoiceField(
        label=_("Student"),
        queryset=Enrolment.objects.none(),
        empty_label=_("choose"),
        error_messages={
            "required": _("Choose the student whose coupon it is."),
            "invalid_choice": _("Choose a student of this section."),
        },
    )
    exercise = forms.ModelChoiceField(
        label=_("Exercise"),
        queryset=Exercise.objects.none(),
        empty_label=_("choose"),
        error_messages={
            "required": _("Choose the exercise."),
            "invalid_choice": _("Choose an exercise of this plan."),
        },
    )

    def __init__(
        self,
        *args: Any,
        students: QuerySet[Enrolment],
        exercises: QuerySet[Exercise],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        for name, rows in (("student", students), ("exercise", exercises)):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 -- as declared
            field.queryset = rows
