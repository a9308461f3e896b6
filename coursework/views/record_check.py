"""Check a print of a record, without an account and without a name on the page."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from coursework import record_checking
from coursework.forms.record_check import CheckForm
from coursework.record_checking import Print, TooManyTries


@login_not_required
@require_safe
@never_cache
def view(request: HttpRequest) -> HttpResponse:
    """Ask for number and fingerprint, or answer."""
    return answer(request, CheckForm(request.GET if "code" in request.GET else None))


def answer(request: HttpRequest, form: CheckForm) -> HttpResponse:
    """Say how a print stands, or why it is not known; nobody is to find or keep the answer."""
    found, status = None, 200
    if form.is_bound:
        found, status = _look_up(request, form)
    with timezone.override(found.zone if found else None):
        context = {"form": form, "found": found}
        page = render(request, "coursework/record_check.html", context, status=status)
    page.headers["X-Robots-Tag"] = "noindex, nofollow"
    page.headers["Referrer-Policy"] = "no-referrer"
    return page


def _look_up(request: HttpRequest, form: CheckForm) -> tuple[Print | None, int]:
    if not form.is_valid():
        return None, 422
    try:
        found = record_checking.look_up(request, **form.cleaned_data)
    except TooManyTries:
        form.refuse_for_a_while()
        return None, 429
    if found is None:
        form.refuse()
        return None, 404
    return found, 200
