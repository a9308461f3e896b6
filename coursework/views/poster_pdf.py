"""The poster of a section as PDF: a code to scan, the same to type, and how to join."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from coursework import access, exports, joining, shop_prints
from coursework.views.record_pdf import NO_PANGO

PLAIN = "text/plain; charset=utf-8"


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Print it, on the paper of the school's units unless ``paper`` names another."""
    section = access.section_for_staff(access.person(request), pk)
    if not joining.is_open(section, timezone.now()):
        said = _("Nobody can join with the code now. Open joining on the roster, then print it.")
        return HttpResponse(said, status=409, content_type=PLAIN)
    paper = exports.paper_of(section.term.school.settings, request.GET.get("paper", ""))
    join_page = request.build_absolute_uri(reverse("coursework:join"))
    try:
        made = shop_prints.poster_pdf(section, join_page, page_size=paper)
    except exports.NoPdf:
        return HttpResponse(NO_PANGO, status=503, content_type=PLAIN)
    return HttpResponse(
        made,
        content_type="application/pdf",
        headers={"Content-Disposition": 'inline; filename="poster.pdf"'},
    )
