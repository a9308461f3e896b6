"""The files that a person asked for: how far each is, and where to get it."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from coursework import access, export_clearing, export_jobs
from coursework.context import ASKED_FOR_FILE
from coursework.export_kinds import title_of
from coursework.models import ExportFile, Section, User

FILES_SHOWN = 30
# From then on the page says what may be wrong [s].
LONG_WAIT_S = 60


@require_safe
def view(request: HttpRequest) -> HttpResponse:
    """Show the page, or to a page that looks again only what is new."""
    now = timezone.now()
    export_clearing.mark_lost(now)
    files = list(access.export_files(access.person(request))[:FILES_SHOWN])
    export_jobs.see(files, now)
    seen = _fingerprint(files)
    looks_again = bool(getattr(request, "htmx", False))
    if looks_again and request.GET.get("seen") == seen:
        return HttpResponse(status=204)
    page = "coursework/your_files.html#files" if looks_again else "coursework/your_files.html"
    return render(request, page, _shown(files) | {"seen": seen})


def asked_for(
    request: HttpRequest,
    kind: str,
    about: Section | User,
    *,
    also: Callable[[], object] = lambda: None,
) -> HttpResponse:
    """Ask for a file for whoever sent the form, and lead to the page of files.

    ``also`` is done in the same transaction: with the file, or not at all.
    """
    user, site = access.person(request), request.build_absolute_uri("/")
    try:
        with transaction.atomic():
            export_jobs.ask(user, kind, about, timezone.now(), site=site)
            also()
    except export_jobs.OneAtATime:
        messages.error(
            request, _("One file at a time: wait until yours is made, or cancel it here.")
        )
    request.session[ASKED_FOR_FILE] = True
    return redirect("coursework:your_files")


def _shown(files: list[ExportFile]) -> dict[str, Any]:
    now = timezone.now()
    return {
        "rows": [
            {
                "file": each,
                "title": title_of(each),
                "there": each.is_there(now),
                "waits_long": each.state == ExportFile.State.WAITING
                and (now - each.asked_at).total_seconds() > LONG_WAIT_S,
            }
            for each in files
        ],
        "busy": any(each.is_open for each in files),
    }


def _fingerprint(files: list[ExportFile]) -> str:
    """Return a text that changes when one of the files gets on."""
    return "-".join(f"{each.pk}{each.state[0]}{each.done}" for each in files if each.is_open)
