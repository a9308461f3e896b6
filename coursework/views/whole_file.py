"""The coordinator asks for everything that is stored about a student."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from coursework import access
from coursework.models import User
from coursework.views.your_files import asked_for


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    enrolment = access.student_for_staff(access.person(request), pk, User.Role.COORDINATOR)
    return asked_for(request, "whole_file", enrolment.user)
