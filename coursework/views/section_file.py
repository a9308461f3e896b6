"""One of the files of a section, made while its reader waits."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from coursework import access
from coursework.exports.files import SECTION_FILES, is_long
from coursework.made_files import made


@require_safe
def view(request: HttpRequest, pk: int, name: str) -> HttpResponseBase:
    """Make and send the file."""
    section = access.section_for_staff(access.person(request), pk)
    kind = SECTION_FILES.get(name)
    if kind is None:
        raise Http404
    if kind.grows and is_long(section):
        messages.info(request, _("So many coupons take a while: ask for the file below."))
        return redirect("coursework:section_exports", pk=pk)
    return made(kind, section, kind.name_for(section))
