"""A term record as it was issued, read from its master."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access, exports, issuing, record_checking
from coursework.label_sheets import PAPER_NAMES
from coursework.models import SchoolSettings
from coursework.record import from_master
from coursework.record_sheet import sheet


@require_safe
def view(request: HttpRequest, code: str) -> HttpResponse:
    """Show the record, and how this issue of it stands."""
    user = access.person(request)
    issued = access.issued_record(user, code)
    address = record_checking.check_address(request, issued)
    context = sheet(from_master(issued.master), issued.sha256, address, top=2) | {
        "issued": issued,
        "where": issued.enrolment.section,
        "other_papers": other_papers(issued.enrolment.section.term.school.settings),
        "standing": issuing.standing_of(issued),
        "untouched": issuing.is_untouched(issued),
        "may_withdraw": not user.is_student,
    }
    return render(request, "coursework/issued_record.html", context)


def other_papers(school: SchoolSettings) -> list[tuple[str, str]]:
    """Return the papers that a print is not on by itself, with their names."""
    own = exports.paper_of(school)
    return [(paper, str(name)) for paper, name in PAPER_NAMES.items() if paper != own]
