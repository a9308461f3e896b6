"""Make a one-time sign-in code for a person, on a slip to print or to read out."""

from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from coursework import access, sign_in_codes
from coursework.joining import spaced_code
from coursework.models import User

SHOWN = 5


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask first, with the codes of before; then show the slip, this once."""
    user = access.person(request)
    who, now = access.person_to_sign_in(user, pk), timezone.now()
    if request.method == "POST" and who.is_active:
        return slip(request, who, sign_in_codes.make(who, by=user, at=now), now)
    before = who.sign_in_codes.select_related("made_by").order_by("-made_at", "-pk")[:SHOWN]
    context = {"who": who, "before": before, "now": now}
    status = 409 if request.method == "POST" else 200
    return render(request, "coursework/sign_in_code.html", context, status=status)


def slip(request: HttpRequest, who: User, code: str, at: datetime) -> HttpResponse:
    """Return the page that shows a code, the only time that anybody sees it."""
    context = {
        "who": who,
        "code": spaced_code(code),
        "until": at + sign_in_codes.GOOD_FOR,
        "address": request.build_absolute_uri(reverse("coursework:sign_in")),
    }
    return render(request, "coursework/sign_in_code_slip.html", context)
