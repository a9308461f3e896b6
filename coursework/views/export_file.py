"""One finished file, for nobody but the person who asked for it."""

import uuid

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from coursework import access, export_jobs
from coursework.export_clearing import storage
from coursework.export_kinds import file_name_of
from coursework.models import ExportFile


@require_safe
def view(request: HttpRequest, public_id: uuid.UUID) -> HttpResponseBase:
    """Send the file, to be kept; or say on the page of files that it is not there."""
    export = access.export_file(access.person(request), public_id)
    now = timezone.now()
    if not (export.is_there(now) and _is_whole(export)):
        messages.error(request, _("This file is not there. Ask for it again."))
        return redirect("coursework:your_files")
    export_jobs.see([export], now)
    answer = FileResponse(
        storage().open(export.file), as_attachment=True, filename=file_name_of(export)
    )
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Cache-Control"] = "private, no-store"
    return answer


def _is_whole(export: ExportFile) -> bool:
    """Whether the stored file is there in the length that it was made in."""
    place = storage()
    return place.exists(export.file) and place.size(export.file) == export.size_bytes
