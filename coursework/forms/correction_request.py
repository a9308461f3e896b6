"""The forms around a correction request: asked, decided, answered by a statement."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.models import CorrectionRequest, Coupon, Enrolment

type About = tuple[Enrolment, Coupon | None]


class AskForm(forms.Form):
    """What the request is about, and what is wrong.

    Parameters
    ----------
    enrolments, coupons : QuerySet
        Those of the student who asks, as ``access`` gives them.
    """

    about = forms.ChoiceField(
        label=gettext_lazy("About"),
        error_messages={"invalid_choice": gettext_lazy("Choose what it is about from the list.")},
    )
    what = forms.CharField(
        label=gettext_lazy("What is wrong, and what should it say?"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": gettext_lazy("Say what is wrong in a sentence or two.")},
    )

    def __init__(
        self,
        *args: Any,
        enrolments: QuerySet[Enrolment],
        coupons: QuerySet[Coupon],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.known: dict[str, About] = {f"record-{each.pk}": (each, None) for each in enrolments}
        self.known |= {f"coupon-{each.public_id}": (each.enrolment, each) for each in coupons}
        about = self.fields["about"]
        assert isinstance(about, forms.ChoiceField)  # noqa: S101 -- as declared
        about.choices = [(key, _called(*value)) for key, value in self.known.items()]

    def chosen(self) -> About:
        """Return the enrolment and, where it is about one, the coupon."""
        return self.known[self.cleaned_data["about"]]


def _called(enrolment: Enrolment, coupon: Coupon | None) -> str:
    if coupon is None:
        said = {"section": enrolment.section, "term": enrolment.section.term}
        return _("The record as a whole: %(section)s, %(term)s") % said
    zone = enrolment.section.term.school.settings.zone
    day = f"{coupon.handed_in_at.astimezone(zone):%b %-d, %Y}"
    return f"{coupon}: {coupon.exercise}, {day}"


class DecisionForm(forms.Form):
    """Accept or decline, with a reason."""

    decision = forms.ChoiceField(
        label=gettext_lazy("Decision"),
        choices=[
            (CorrectionRequest.Decision.ACCEPTED, gettext_lazy("Accept")),
            (CorrectionRequest.Decision.DECLINED, gettext_lazy("Decline")),
        ],
        widget=forms.RadioSelect,
        error_messages={
            "required": gettext_lazy("Choose whether you accept or decline it."),
            "invalid_choice": gettext_lazy("Choose whether you accept or decline it."),
        },
    )
    reason = forms.CharField(
        label=gettext_lazy("Reason"),
        help_text=gettext_lazy(
            "The student reads it. Where you accept, say what you have put right."
        ),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": gettext_lazy("Say why in a sentence or two.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["decision"].widget.template_name = "forms/cells.html"


class StatementForm(forms.Form):
    """What the student wants to stand beside the record."""

    statement = forms.CharField(
        label=gettext_lazy("Your statement"),
        help_text=gettext_lazy(
            "As you write it, it goes with every copy of your record that is made from now on. "
            "It cannot be changed afterwards."
        ),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 5}),
        error_messages={"required": gettext_lazy("Write the statement first.")},
    )
