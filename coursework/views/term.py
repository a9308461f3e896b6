"""One term in the office: its days, its sections, and whether it is open."""

from django.contrib import messages
from django.db.models import Count, Prefetch, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, terms
from coursework.forms.term import TermForm
from coursework.models import Enrolment, Section, Term

STUDENTS = Q(
    enrolments__role=Enrolment.Role.STUDENT,
    enrolments__left_at=None,
    enrolments__waits_for_approval=False,
)


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the term, or give it another name or other days."""
    user = access.person(request)
    term = access.term(user, pk)
    form = TermForm(request.POST or None, school=term.school, term=term)
    if request.method == "POST" and form.is_valid():
        terms.rename(term, by=user, **form.cleaned_data)
        messages.success(request, _("%(term)s is changed.") % {"term": term})
        return redirect("coursework:term", pk=pk)
    context = {"form": form, "term": term, "sections": _sections(term)}
    status = 422 if request.method == "POST" else 200
    return render(request, "coursework/term.html", context, status=status)


def _sections(term: Term) -> list[Section]:
    teaching = Enrolment.objects.filter(
        role=Enrolment.Role.INSTRUCTOR, left_at=None
    ).select_related("user")
    return list(
        term.sections.select_related("plan")
        .annotate(students=Count("enrolments", filter=STUDENTS))
        .prefetch_related(Prefetch("enrolments", teaching, to_attr="teaching"))
        .order_by("plan__code", "name", "pk")
    )
