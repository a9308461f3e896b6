"""The audit table of a school: what was done, by whom, to what."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access
from coursework.forms.audit import AuditFilter
from coursework.models import User

A_PAGE = 50


@require_safe
@access.only(User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """Show the rows, the newest first; an address that cannot be read says so above them."""
    form = AuditFilter(request.GET)
    rows = form.chosen(access.audit_rows(access.person(request)))
    context = {
        "form": form,
        "page": Paginator(rows, A_PAGE).get_page(request.GET.get("page")),
        "narrowed": any(form.cleaned_data.values()),
    }
    status = 422 if form.errors else 200
    return render(request, "coursework/audit.html", context, status=status)
