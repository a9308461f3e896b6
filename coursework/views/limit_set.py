"""One set of limits of the school's own: a form of rows."""

from typing import Any, cast

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, school_settings
from coursework.conflicts import Conflict
from coursework.forms.limit_set import MOST_ROWS, LimitRows, LimitSetForm, RowSet, rows_of
from coursework.models import SchoolSettings, User
from coursework.views.school_settings import stored

MORE_ROWS = 3


@require_http_methods(["GET", "HEAD", "POST"])
@access.only(User.Role.COORDINATOR)
def view(request: HttpRequest, place: int) -> HttpResponse:
    """Show a set, store it, or take it out; place 0 is a new one."""
    settings = access.school_settings(access.person(request))
    if place > len(settings.limit_sets):
        raise Http404
    index = place - 1 if place else None
    there = settings.limit_sets[index] if index is not None else None
    others = [each for number, each in enumerate(settings.limit_sets) if number != index]
    if request.method == "POST":
        return _changed(request, settings, index, others)
    known = {"name": there["name"] if there else "", "based_on": school_settings.version_of(there)}
    form = LimitSetForm(initial=known, others=others)
    return _page(request, form, LimitRows(initial=rows_of(there)), index)


def _changed(
    request: HttpRequest, settings: SchoolSettings, index: int | None, others: list[dict[str, Any]]
) -> HttpResponse:
    user = access.person(request)
    form = LimitSetForm(request.POST, others=others)
    based_on = request.POST.get("based_on", "")
    if "more" in request.POST:
        return _page(request, form, LimitRows(_with_more_rows(request)), index)
    rows = cast("RowSet", LimitRows(request.POST))
    try:
        if "remove" in request.POST and index is not None:
            school_settings.remove_limit_set(settings, index, based_on=based_on, by=user)
        elif not all([form.is_valid(), rows.is_valid()]):
            return _page(request, form, rows, index, status=422)
        else:
            limit_set = {"name": form.cleaned_data["name"], "limits": rows.documents()}
            school_settings.keep_limit_set(settings, index, limit_set, based_on=based_on, by=user)
    except Conflict as reason:
        return _page(request, form, rows, index, conflict=str(reason), status=409)
    messages.success(request, stored(differs=True))
    return redirect("coursework:school_settings")


def _with_more_rows(request: HttpRequest) -> Any:
    """Return what was typed, with some more blank rows below."""
    typed = request.POST.copy()
    rows = typed.get("form-TOTAL_FORMS", "")
    number = int(rows) if rows.isascii() and rows.isdigit() and len(rows) < 4 else 0
    typed["form-TOTAL_FORMS"] = str(min(number + MORE_ROWS, MOST_ROWS))
    return typed


def _page(
    request: HttpRequest,
    form: LimitSetForm,
    rows: Any,
    index: int | None,
    *,
    conflict: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "form": form,
        "rows": rows,
        "checked": status == 422,
        "new": index is None,
        "conflict": conflict,
        "most_rows": MOST_ROWS,
        "title": _("New set of limits") if index is None else form["name"].value(),
    }
    return render(request, "coursework/limit_set.html", context, status=status)
