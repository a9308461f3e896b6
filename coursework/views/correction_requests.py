"""Correction requests for staff: what waits for a decision, then what was decided."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access
from coursework.models import CorrectionRequest, User

A_PAGE = 50


@require_safe
@access.only(User.Role.INSTRUCTOR, User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """Show the list."""
    requests = access.correction_requests(access.person(request))
    context = {
        "page": Paginator(requests, A_PAGE).get_page(request.GET.get("page")),
        "open": requests.filter(decision=CorrectionRequest.Decision.OPEN).count(),
    }
    return render(request, "coursework/correction_requests.html", context)
