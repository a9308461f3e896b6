"""A term record as it was issued, read from its master."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from coursework import access, issuing
from coursework.record import from_master
from coursework.record_sheet import sheet


def view(request: HttpRequest, code: str) -> HttpResponse:
    issued = access.issued_record(access.person(request), code)
    context = sheet(from_master(issued.master), issued.sha256, request.build_absolute_uri(), top=2)
    newest = issuing.latest(issued.enrolment)
    context |= {
        "issued": issued,
        "untouched": issuing.is_untouched(issued),
        "newer": newest if newest and newest.issue > issued.issue else None,
    }
    return render(request, "coursework/issued_record.html", context)
