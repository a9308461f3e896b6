"""What a list of a section's coupons is narrowed by; its address can be kept."""

from collections.abc import Mapping
from typing import Any, Final

from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.models import Coupon, Enrolment, Exercise, Section
from coursework.section_log import week_starts

FLAGS: Final[dict[str, Q]] = {
    "safety": Q(assessment__safety_stops__gt=0),
    "stop": Q(assessment__stops__gt=0),
    "warn": Q(assessment__warns__gt=0),
    "cleaning": Q(assessment__cleaning_slips__gt=0),
    "none": Q(assessment__stops=0, assessment__warns=0),
}
FLAG_WORDS: Final = (
    ("", gettext_lazy("all")),
    ("safety", gettext_lazy("safety stop")),
    ("stop", gettext_lazy("stop")),
    ("warn", gettext_lazy("warning")),
    ("cleaning", gettext_lazy("cleaning step skipped or swapped")),
    ("none", gettext_lazy("no stop, no warning")),
)
GONE: Final = gettext_lazy("This is not on the list; choose another.")


class StudentField(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A student by name."""

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.user.last_name}, {obj.user.first_name}"


class CouponFilter(forms.Form):
    """Narrows the coupons of a section by exercise, week, student and flag."""

    exercise = forms.ModelChoiceField(
        Exercise.objects.none(),
        label=gettext_lazy("Exercise"),
        required=False,
        empty_label=gettext_lazy("all"),
        error_messages={"invalid_choice": GONE},
    )
    week = forms.TypedChoiceField(
        label=gettext_lazy("Week"),
        required=False,
        coerce=int,
        empty_value=None,
        error_messages={"invalid_choice": GONE},
    )
    student = StudentField(
        Enrolment.objects.none(),
        label=gettext_lazy("Student"),
        required=False,
        empty_label=gettext_lazy("all"),
        error_messages={"invalid_choice": GONE},
    )
    flag = forms.ChoiceField(
        label=gettext_lazy("Flag"),
        required=False,
        choices=FLAG_WORDS,
        error_messages={"invalid_choice": GONE},
    )

    def __init__(
        self, data: Mapping[str, Any], *, section: Section, students: QuerySet[Enrolment]
    ) -> None:
        super().__init__(data)
        self.section = section
        self._choose_from("exercise", section.plan.exercises.order_by("place", "pk"))
        self._choose_from("student", students)
        weeks = [(str(number), str(number)) for number in range(1, section.term.weeks + 1)]
        week = self.fields["week"]
        assert isinstance(week, forms.ChoiceField)  # noqa: S101 -- as declared
        week.choices = [("", _("all")), *weeks]

    def _choose_from(self, name: str, rows: QuerySet[Any]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 -- as declared
        field.queryset = rows

    def chosen(self, coupons: QuerySet[Coupon]) -> QuerySet[Coupon]:
        """Return the coupons that fit; what cannot be read narrows nothing."""
        self.is_valid()
        said = self.cleaned_data
        if said.get("exercise"):
            coupons = coupons.filter(exercise=said["exercise"])
        if said.get("student"):
            coupons = coupons.filter(enrolment=said["student"])
        if said.get("flag"):
            coupons = coupons.filter(FLAGS[said["flag"]])
        return self._of_week(coupons, said.get("week"))

    def _of_week(self, coupons: QuerySet[Coupon], week: int | None) -> QuerySet[Coupon]:
        """Keep those of a week; what came before the term counts to the first, as on charts."""
        if week is None:
            return coupons
        starts = week_starts(self.section.term)
        if week > 1:
            coupons = coupons.filter(handed_in_at__gte=starts[week - 1])
        return coupons.filter(handed_in_at__lt=starts[week]) if week < len(starts) else coupons
