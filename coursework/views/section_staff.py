"""Who teaches a section, and who of them leads."""

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, staffing
from coursework.forms.section_staff import TeachersForm
from coursework.models import Section, User


def instructors(user: User) -> QuerySet[User]:
    """Return who may be chosen to teach."""
    return access.staff(user).filter(role=User.Role.INSTRUCTOR, is_active=True)


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show who teaches, or change it."""
    user = access.person(request)
    section = access.section_for_staff(user, pk, User.Role.COORDINATOR)
    form = TeachersForm(
        request.POST or None, initial=_teaching(section), teachers=instructors(user)
    )
    if request.method == "POST" and form.is_valid():
        staffing.set_instructors(section, by=user, at=timezone.now(), **form.cleaned_data)
        messages.success(request, _("Saved: who teaches %(section)s.") % {"section": section})
        return redirect("coursework:section", pk=section.pk)
    context = {"form": form, "section": section, "where": section}
    status = 422 if request.method == "POST" else 200
    return render(request, "coursework/section_staff.html", context, status=status)


def _teaching(section: Section) -> dict[str, object]:
    rows = list(section.enrolments.filter(role=User.Role.INSTRUCTOR, left_at=None))
    lead = next((each.user_id for each in rows if each.lead), None)
    return {"instructors": [each.user_id for each in rows], "lead": lead}
