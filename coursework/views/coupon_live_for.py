"""Figures and flags beside the form that an instructor fills in for a student."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from coursework import access
from coursework.views import coupon_live


@require_POST
def view(request: HttpRequest, pk: int, exercise: int) -> HttpResponse:
    """Show what can be read so far."""
    return coupon_live.page(
        request, *access.exercise_to_log_for(access.person(request), pk, exercise)
    )
