"""The answer to whoever would change something in a closed term, where no form is to be kept."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from coursework.conflicts import ClosedTerm


def refusal(request: HttpRequest, reason: ClosedTerm) -> HttpResponse:
    """Say in one sentence that the term is closed."""
    return render(request, "coursework/term_closed.html", {"reason": str(reason)}, status=409)
