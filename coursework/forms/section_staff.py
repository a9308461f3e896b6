"""The forms of a section in the office: what it is called, its plan, and who teaches it."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.models import CoursePlan, Section, Term, User


class TeachersForm(forms.Form):
    """Who teaches a section, and who of them leads.

    Parameters
    ----------
    teachers : QuerySet[User]
        The instructors of the school.
    """

    instructors = forms.ModelMultipleChoiceField(
        label=gettext_lazy("Instructors"),
        queryset=User.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy("They see the section, grade its coupons and sign exercises off."),
        error_messages={"invalid_choice": gettext_lazy("Choose instructors of this school.")},
    )
    lead = forms.ModelChoiceField(
        label=gettext_lazy("Lead instructor"),
        queryset=User.objects.none(),
        required=False,
        empty_label=gettext_lazy("nobody yet"),
        help_text=gettext_lazy(
            "Settles second gradings that differ, and confirms limits. May be left open."
        ),
        error_messages={"invalid_choice": gettext_lazy("Choose an instructor of this school.")},
    )

    def __init__(self, *args: Any, teachers: QuerySet[User], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.nobody = not teachers.exists()
        for name in ("instructors", "lead"):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 -- as declared
            field.queryset = teachers
            if self.nobody:
                field.widget = field.hidden_widget()
        self.fields["instructors"].widget.template_name = "forms/ticks.html"

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        lead, chosen = data.get("lead"), data.get("instructors")
        if lead and chosen is not None and lead not in chosen:
            self.add_error("lead", _("Who leads also teaches: tick the name above."))
        return data


class SectionForm(TeachersForm):
    """A new section of a term."""

    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=20,
        help_text=gettext_lazy("Short: A, or Monday evening."),
    )
    plan = forms.ModelChoiceField(
        label=gettext_lazy("Course plan"),
        queryset=CoursePlan.objects.none(),
        empty_label=None,
        help_text=gettext_lazy("Its exercises and its rubric come along."),
        error_messages={
            "required": gettext_lazy("Start from a course plan first; the office has one ready."),
            "invalid_choice": gettext_lazy("Choose a course plan of this school."),
        },
    )

    field_order = ("name", "plan", "instructors", "lead")

    def __init__(self, *args: Any, term: Term, plans: QuerySet[CoursePlan], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.term = term
        field = self.fields["plan"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 -- as declared
        field.queryset = plans

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        same = Section.objects.filter(
            term=self.term, plan=data.get("plan"), name=data.get("name", "")
        )
        if same.exists():
            self.add_error("name", _("This plan has a section of that name in this term already."))
        return data
