"""A student asks for everything that is stored about them; they may at any time."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from coursework import access
from coursework.models import User
from coursework.views.your_files import asked_for


@require_POST
@access.only(User.Role.STUDENT)
def view(request: HttpRequest) -> HttpResponse:
    return asked_for(request, "whole_file", access.person(request))
