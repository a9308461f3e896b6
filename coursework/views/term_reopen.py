"""Open a closed term again."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, terms


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Open it, and go back to its page."""
    user = access.person(request)
    term = access.term(user, pk)
    terms.reopen(term, by=user)
    messages.success(request, _("%(term)s is open again.") % {"term": term})
    return redirect("coursework:term", pk=pk)
