"""Staff ask for a file about a whole section."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from coursework import access
from coursework.export_kinds import KINDS
from coursework.models import Section
from coursework.views.your_files import asked_for


@require_POST
def view(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Ask for it; a kind that is none about sections is not there."""
    section = access.section_for_staff(access.person(request), pk)
    if kind not in KINDS or KINDS[kind].about is not Section:
        raise Http404
    return asked_for(request, kind, section)
