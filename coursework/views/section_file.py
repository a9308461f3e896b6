"""One of the files of a section, made while its reader waits."""

from django.http import FileResponse, Http404, HttpRequest
from django.views.decorators.http import require_safe

from coursework import access
from coursework.exports.files import SECTION_FILES
from coursework.made_files import made


@require_safe
def view(request: HttpRequest, pk: int, name: str) -> FileResponse:
    """Make and send the file."""
    section = access.section_for_staff(access.person(request), pk)
    kind = SECTION_FILES.get(name)
    if kind is None:
        raise Http404
    return made(kind, section, kind.name_for(section))
