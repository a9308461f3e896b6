"""The audit table of a school: what was done, by whom, to what."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from coursework import access
from coursework.forms.audit import AuditFilter
from coursework.models import AuditRow, User

A_PAGE = 50


@require_safe
@access.only(User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """Show the rows, the newest first; an address that cannot be read says so above them."""
    form = AuditFilter(request.GET)
    rows = form.chosen(access.audit_rows(access.person(request)))
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "page": page,
        "rows": [(row, changed(row)) for row in page],
        "narrowed": any(form.cleaned_data.values()),
    }
    status = 422 if form.errors else 200
    return render(request, "coursework/audit.html", context, status=status)


def changed(row: AuditRow) -> list[tuple[str, str]]:
    """Return what a row says of each member that changed, in words."""
    return [(_spaced(each.name), _both(row, each.before, each.after)) for each in row.changes]


def _both(row: AuditRow, before: Any, after: Any) -> str:
    return f"{worded(before)} → {worded(after)}" if row.before else worded(after)


def worded(value: Any) -> str:
    """Return a stored value in words.

    >>> worded({"photos": 12, "whole": True}), worded([1.5, "odo"])
    ('photos 12, whole yes', '1.5, odo')
    """
    if value is None or value in ([], {}, ""):
        return _("none")
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, dict):
        return ", ".join(f"{_spaced(name)} {worded(each)}" for name, each in value.items())
    if isinstance(value, list):
        return ", ".join(map(worded, value))
    return str(value)


def _spaced(name: str) -> str:
    return name.replace("_", " ")
