"""One correction request: what was asked, the decision, the statement."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access
from coursework.forms.correction_request import DecisionForm, StatementForm
from coursework.models import CorrectionRequest


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show it, with the form of whoever's turn it is."""
    return page(request, access.correction_request(access.person(request), pk))


def page(
    request: HttpRequest,
    asked: CorrectionRequest,
    *,
    form: Any = None,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    """Show a request, with a form that was sent and what could not be done, if anything."""
    is_student = access.person(request).is_student
    if form is None and asked.is_open and not is_student:
        form = DecisionForm()
    if form is None and asked.takes_statement and is_student:
        form = StatementForm()
    context = {
        "asked": asked,
        "student": asked.enrolment.user,
        "where": asked.enrolment.section,
        "form": form,
        "refused": refused,
    }
    return render(request, "coursework/correction_request.html", context, status=status)
