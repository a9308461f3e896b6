"""Ask again for a file that failed, was cancelled or has expired."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from coursework import access
from coursework.views.your_files import asked_for


@require_POST
def view(request: HttpRequest, public_id: uuid.UUID) -> HttpResponse:
    export = access.export_file(access.person(request), public_id)
    about = export.section or export.student
    assert about  # noqa: S101 - the table sees to it
    return asked_for(request, export.kind, about)
