"""The address that a print carries in its QR code: the check, filled in."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from coursework.forms.record_check import CheckForm
from coursework.views.record_check import answer


@login_not_required
@require_safe
@never_cache
def view(request: HttpRequest, code: str, fingerprint: str) -> HttpResponse:
    """Say how the print stands."""
    return answer(request, CheckForm({"code": code, "fingerprint": fingerprint}))
