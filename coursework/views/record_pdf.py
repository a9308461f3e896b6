"""An issued term record as PDF."""

from django.http import HttpRequest, HttpResponse
from django.utils.http import content_disposition_header

from coursework import access, exports, issuing, tampered
from coursework.record import from_master

NO_PANGO = (
    "The PDF cannot be made, because this computer has no Pango, which lays it out. "
    f"Whoever runs it can install it with: {exports.INSTALL_LINE}"
)


def view(request: HttpRequest, code: str) -> HttpResponse:
    """Print it, on the paper of the school's units unless ``paper`` names another."""
    issued = access.issued_record(access.person(request), code)
    if not issuing.is_untouched(issued):
        return tampered.refusal(request, issued)
    paper = exports.paper_of(
        issued.enrolment.section.term.school.settings, request.GET.get("paper", "")
    )
    try:
        made = exports.issue_print(issued, request.build_absolute_uri("/"), paper).pdf()
    except exports.NoPdf:
        return HttpResponse(NO_PANGO, status=503, content_type="text/plain; charset=utf-8")
    name = exports.file_name(from_master(issued.master), "pdf")
    disposition = content_disposition_header(as_attachment=False, filename=name) or "inline"
    return HttpResponse(
        made, content_type="application/pdf", headers={"Content-Disposition": disposition}
    )
