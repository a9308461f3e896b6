"""Close a term, after a look at what still waits in it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, terms


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what waits for a grade or a release, or close the term."""
    user = access.person(request)
    term = access.term(user, pk)
    if request.method == "POST":
        terms.close(term, by=user, at=timezone.now())
        messages.success(request, _("%(term)s is closed.") % {"term": term})
        return redirect("coursework:term", pk=pk)
    waiting = terms.still_waiting(term)
    context = {
        "term": term,
        "waiting": waiting,
        "ungraded": sum(each.ungraded for each in waiting),
        "held": sum(each.held for each in waiting),
    }
    return render(request, "coursework/term_close.html", context)
