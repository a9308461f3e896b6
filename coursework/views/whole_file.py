"""The coordinator asks for all that is stored about a student, and says if it is given away."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, disclosures
from coursework.forms.disclosure import DisclosureForm
from coursework.models import Enrolment, User
from coursework.views.your_files import asked_for


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the two ways; have the file made, and log it where it leaves the school."""
    user = access.person(request)
    enrolment = access.student_for_staff(user, pk, User.Role.COORDINATOR)
    if "stays" in request.POST:
        return asked_for(request, "whole_file", enrolment.user)
    form = DisclosureForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        return asked_for(
            request, "whole_file", enrolment.user, also=lambda: _log(user, enrolment, form)
        )
    context = {
        "form": form,
        "enrolment": enrolment,
        "student": enrolment.user,
        "where": enrolment.section,
        "said": disclosures.NO_ONWARD_DISCLOSURE,
    }
    status = 422 if form.errors else 200
    return render(request, "coursework/whole_file.html", context, status=status)


def _log(user: User, enrolment: Enrolment, form: DisclosureForm) -> None:
    places = access.enrolments(user).filter(user=enrolment.user)
    what = _("Whole file of %(student)s") % {"student": enrolment.user}
    disclosures.disclose(user, places, what=what[:160], **form.cleaned_data)
