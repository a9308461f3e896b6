"""Every file that can be had of a section: what is in it, and for whom it is."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access
from coursework.export_kinds import WHERE_LONG, Kind, kinds_about
from coursework.exports.files import SECTION_FILES, is_long
from coursework.models import Section


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the list."""
    section = access.section_for_staff(access.person(request), pk)
    is_big = is_long(section)
    context = {
        "section": section,
        "where": section,
        "files": [each for each in SECTION_FILES.values() if not (each.grows and is_big)],
        "long": [(kind, kind.title(section)) for kind in _by_the_worker(is_big=is_big)],
    }
    return render(request, "coursework/section_exports.html", context)


def _by_the_worker(*, is_big: bool) -> list[Kind]:
    """Return what is asked for: of a big section also what others wait for."""
    others = {
        name.replace(".", "-") for name, each in SECTION_FILES.items() if is_big and each.grows
    }
    return [
        kind for kind in kinds_about(Section) if kind.key not in WHERE_LONG or kind.key in others
    ]
