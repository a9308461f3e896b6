"""The draft of a rubric: its rows typed and put in order, kept, published or discarded."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, rubrics
from coursework.forms.rubric import (
    FIRST_ROWS,
    MOST_ROWS,
    PREFIX,
    CriterionRows,
    arranged,
    as_typed,
    preview,
    readable,
    typed_rows,
)
from coursework.models import Rubric

ON_THE_PAGE = {"add", "up", "down", "remove", "preview"}


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the draft, or what it would start from; change the page or store what it says."""
    rubric = access.rubric(access.person(request), pk)
    if request.method == "POST":
        return _changed(request, rubric)
    newest = rubrics.newest(rubric)
    typed = [as_typed(each) for each in rubrics.rows_of(newest)] or [{}] * FIRST_ROWS
    return _page(request, rubric, typed, rubrics.fingerprint(newest))


def _changed(request: HttpRequest, rubric: Rubric) -> HttpResponse:
    act, _dash, place = request.POST.get("act", "").partition("-")
    based_on = request.POST.get("based_on", "")
    typed = typed_rows(request.POST)
    if act in ON_THE_PAGE:
        chosen = int(place) if place.isascii() and place.isdigit() else 0
        return _page(request, rubric, arranged(typed, act, chosen), based_on)
    rows = CriterionRows(request.POST, prefix=PREFIX)
    try:
        if act == "discard":
            return _discarded(request, rubric, based_on)
        if not rows.is_valid():
            return _page(request, rubric, typed, based_on, rows=rows, status=422)
        return _stored(request, rubric, rows, act, based_on)
    except rubrics.RubricChanged as reason:
        said = str(reason)
        return _page(request, rubric, typed, based_on, rows=rows, conflict=said, status=409)


def _stored(
    request: HttpRequest, rubric: Rubric, rows: Any, act: str, based_on: str
) -> HttpResponse:
    if act == "publish":
        version = rubrics.publish(
            rubric,
            rows.rows(),
            based_on=based_on,
            by=access.person(request),
            at=timezone.now(),
        )
        said = _("Version %(number)d is published: coupons are graded by it from now on.")
        messages.success(request, said % {"number": version.number})
        return redirect("coursework:rubric", pk=rubric.pk)
    rubrics.keep_draft(rubric, rows.rows(), based_on=based_on)
    messages.success(request, _("The draft is kept. Nobody grades by it until you publish it."))
    return redirect("coursework:rubric_draft", pk=rubric.pk)


def _discarded(request: HttpRequest, rubric: Rubric, based_on: str) -> HttpResponse:
    gone = rubrics.discard_draft(rubric, based_on=based_on)
    messages.success(request, _("The draft is discarded."))
    return redirect("coursework:rubrics") if gone else redirect("coursework:rubric", pk=rubric.pk)


def _page(
    request: HttpRequest,
    rubric: Rubric,
    typed: list[dict[str, Any]],
    based_on: str,
    *,
    rows: Any = None,
    conflict: str = "",
    status: int = 200,
) -> HttpResponse:
    versions = list(rubric.versions.order_by("-number"))
    published = (each for each in versions if each.published_at)
    context = {
        "rubric": rubric,
        "rows": rows or CriterionRows(initial=typed, prefix=PREFIX),
        "checked": status == 422,
        "conflict": conflict,
        "based_on": based_on,
        "preview": preview(readable(typed)),
        "draft": next((each for each in versions if not each.published_at), None),
        "published": next(published, None),
        "used": rubric.exercises.filter(retired_at=None).count(),
        "most_rows": MOST_ROWS,
    }
    return render(request, "coursework/rubric_draft.html", context, status=status)
