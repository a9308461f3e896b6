"""Grade a coupon a second time, without seeing the first grade or the student's prediction."""

from typing import Any

from django.contrib import messages
from django.db.models import prefetch_related_objects
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, scoring, second_looks
from coursework.conflicts import Conflict
from coursework.forms.second_look import SecondLookForm
from coursework.models import SecondLook
from coursework.targets import differences
from coursework.views.coupon import evidence

SHOWN = (
    "facts__base_metals",
    "facts__runs",
    "facts__cleaning_steps",
    "facts__imperfections",
    "assessment__findings",
    "photos",
    "exercise__windows",
)


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the coupon with its rubric, or store the second grading."""
    user = access.person(request)
    look = access.second_look(user, pk)
    if look.graded_at:
        return _page(request, look, None)
    version = look.grade.rubric_version
    criteria = scoring.applying(version.criteria.prefetch_related("levels"), look.coupon.exercise)
    if request.method != "POST":
        return _page(request, look, SecondLookForm(criteria=criteria))
    form = SecondLookForm(request.POST, criteria=criteria)
    if not form.is_valid():
        return _page(request, look, form, status=422)
    try:
        second_looks.give(
            look,
            grader=user,
            scores=form.scores(),
            left_out=form.left_out(),
            comment=form.cleaned_data["comment"],
            at=timezone.now(),
        )
    except Conflict as conflict:
        return _page(request, look, form, refused=str(conflict), status=409)
    messages.success(request, _said(look))
    return redirect("coursework:second_looks", pk=look.coupon.section_id)


def _said(look: SecondLook) -> str:
    return _("Saved. %(grader)s gave level %(first)d, you gave %(second)d.") % {
        "grader": look.grade.grader,
        "first": look.grade.level,
        "second": look.level,
    }


def _page(
    request: HttpRequest,
    look: SecondLook,
    form: SecondLookForm | None,
    *,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    """Show the coupon; without a form, that it has been graded a second time."""
    coupon = look.coupon
    prefetch_related_objects([coupon], *SHOWN)
    shown = evidence(coupon)
    context: dict[str, Any] = shown | {
        "look": look,
        "student": coupon.enrolment.user,
        "section": coupon.section,
        "where": coupon.section,
        "inches": shown["shop_first"],
        "differences": differences(coupon),
        "blind": True,
        "form": form,
        "version": look.grade.rubric_version,
        "refused": refused,
    }
    return render(request, "coursework/second_look.html", context, status=status)
