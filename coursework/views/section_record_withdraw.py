"""Withdraw an issue of a section's record, with a reason."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from coursework import access
from coursework.withdrawal_page import withdrawing


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, code: str) -> HttpResponse:
    """Ask why, or withdraw."""
    record = access.section_record(access.person(request), code)
    back = reverse("coursework:section_record", args=[record.code])
    return withdrawing(request, record, back)
