"""The term record of a section as it was issued, read from its master."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access, issuing, record_checking
from coursework.record_section import from_master


@require_safe
def view(request: HttpRequest, code: str) -> HttpResponse:
    """Show the record."""
    issued = access.section_record(access.person(request), code)
    address = record_checking.check_address(request, issued)
    context = {
        "issued": issued,
        "where": issued.section,
        "record": from_master(issued.master),
        "standing": issuing.standing_of(issued),
        "untouched": issuing.is_untouched(issued),
        "address": address,
    }
    return render(request, "coursework/section_record.html", context)
