"""Every file that can be had of a section: what is in it, and for whom it is."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access
from coursework.export_kinds import kinds_about
from coursework.exports.files import SECTION_FILES
from coursework.models import Section


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the list."""
    section = access.section_for_staff(access.person(request), pk)
    context = {
        "section": section,
        "where": section,
        "files": SECTION_FILES.values(),
        "long": [(kind, kind.title(section)) for kind in kinds_about(Section)],
    }
    return render(request, "coursework/section_exports.html", context)
