"""A file leaves the school: log to whom and why, before it is given."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, disclosures
from coursework.forms.disclosure import DiscloseForm
from coursework.models import Enrolment, Section, User


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask to whom the records of a section go, or with ``?student=`` those of one student."""
    user = access.person(request)
    section = access.section_for_staff(user, pk)
    students = _about(user, section, request.GET.get("student", ""))
    form = DiscloseForm(request.POST or None, initial={"what": _what(section, students)})
    if request.method == "POST" and form.is_valid() and students:
        disclosures.disclose(user, students, **form.cleaned_data)
        messages.success(request, _("Logged. Now the file may be given."))
        return redirect("coursework:records", pk=pk)
    context = {
        "form": form,
        "section": section,
        "where": section,
        "students": students,
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "coursework/disclose.html", context, status=status)


def _about(user: User, section: Section, student: str) -> list[Enrolment]:
    """Return the student that is asked for, else everybody of the section."""
    found = access.enrolments(user).filter(section=section)
    if student:
        found = found.filter(pk__in=access.keys([student]))
        if not found:
            raise Http404
    return list(found.order_by("user__last_name", "user__first_name", "pk"))


def _what(section: Section, students: list[Enrolment]) -> str:
    if len(students) == 1:
        return _("Term record, %(section)s, %(term)s") % {"section": section, "term": section.term}
    return _("Term records of %(section)s, %(term)s") % {"section": section, "term": section.term}
