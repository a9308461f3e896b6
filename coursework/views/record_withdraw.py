"""Withdraw an issue of a student's record, with a reason."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from coursework import access
from coursework.withdrawal_page import withdrawing


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, code: str) -> HttpResponse:
    """Ask why, or withdraw."""
    record = access.issued_record_for_staff(access.person(request), code)
    back = reverse("coursework:issued_record", args=[record.code])
    return withdrawing(request, record, back)
