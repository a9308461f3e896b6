"""Open a section in a term: a name, a course plan, and who teaches it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, closed_term, terms
from coursework.conflicts import ClosedTerm
from coursework.forms.section_staff import SectionForm
from coursework.views.section_staff import instructors


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the form, or open the section and go on to it."""
    user = access.person(request)
    term = access.term(user, pk)
    plans = access.plans(user)
    form = SectionForm(request.POST or None, term=term, plans=plans, teachers=instructors(user))
    try:
        terms.need_open(term)
        if request.method == "POST" and form.is_valid():
            section = terms.open_section(term, by=user, at=timezone.now(), **form.cleaned_data)
            messages.success(
                request,
                _("%(section)s is open. Bring its students in next.") % {"section": section},
            )
            return redirect("coursework:section", pk=section.pk)
    except ClosedTerm as reason:
        return closed_term.refusal(request, reason)
    context = {"form": form, "term": term, "plans": plans}
    status = 422 if request.method == "POST" else 200
    return render(request, "coursework/section_new.html", context, status=status)
