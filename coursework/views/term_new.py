"""Open a new term."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, terms
from coursework.forms.term import TermForm
from coursework.models import User


@require_http_methods(["GET", "HEAD", "POST"])
@access.only(User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """Show the form, or open the term and go on to its page."""
    user = access.person(request)
    school = access.school_settings(user).school
    form = TermForm(request.POST or None, school=school)
    if request.method == "POST" and form.is_valid():
        term = terms.open_term(school, by=user, **form.cleaned_data)
        messages.success(
            request, _("%(term)s is open. Open a section in it next.") % {"term": term}
        )
        return redirect("coursework:term", pk=term.pk)
    status = 422 if request.method == "POST" else 200
    return render(request, "coursework/term_new.html", {"form": form}, status=status)
