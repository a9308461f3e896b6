"""The root address: everybody lands where their work is."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from coursework import access
from coursework.models import User


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    if not isinstance(request.user, User):
        return redirect("coursework:sign_in")
    if request.user.is_student:
        return redirect("coursework:bench")
    begins = request.user.is_coordinator and not access.sections(request.user).exists()
    return redirect("coursework:office" if begins else "coursework:sections")
