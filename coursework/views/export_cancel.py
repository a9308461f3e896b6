"""Call a file off that waits or is being made."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, export_jobs


@require_POST
def view(request: HttpRequest, public_id: uuid.UUID) -> HttpResponse:
    export = access.export_file(access.person(request), public_id)
    if export_jobs.cancel(export, timezone.now()):
        messages.success(request, _("Cancelled."))
    else:
        messages.info(request, _("It was done already."))
    return redirect("coursework:your_files")
