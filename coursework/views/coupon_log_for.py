"""Log a coupon for a student without a phone; it is the student's, and says who logged it."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from coursework import access
from coursework.views import coupon_log


@require_http_methods(["GET", "POST"])
def view(request: HttpRequest, pk: int, exercise: int) -> HttpResponse:
    """Show the form of the coupon, or hand it in."""
    user = access.person(request)
    enrolment, found = access.exercise_to_log_for(user, pk, exercise)
    live = reverse("coursework:coupon_live_for", args=[pk, exercise])
    return coupon_log.page(request, enrolment, found, live=live, logged_by=user)
