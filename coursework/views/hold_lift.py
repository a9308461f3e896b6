"""Lift a hold."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, holds


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Lift it, and go back to the list."""
    user = access.person(request)
    holds.lift(access.hold(user, pk), by=user, at=timezone.now())
    messages.success(request, _("The hold is lifted."))
    return redirect("coursework:holds")
