"""Sign out."""

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST


@require_POST
def view(request: HttpRequest) -> HttpResponse:
    logout(request)
    return redirect("coursework:sign_in")
