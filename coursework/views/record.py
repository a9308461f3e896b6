"""The term record of a student before it is issued: what it would say, and what is missing."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from coursework import access, issuing
from coursework.models import Enrolment
from coursework.record_making import term_record
from coursework.record_sheet import sheet


def view(request: HttpRequest, pk: int) -> HttpResponse:
    return preview(request, access.student_for_staff(access.person(request), pk))


def preview(
    request: HttpRequest, enrolment: Enrolment, error: str = "", status: int = 200
) -> HttpResponse:
    """Show the record as it would be issued now, with what went wrong on the way, if anything."""
    record = term_record(enrolment)
    issued = list(enrolment.records.select_related("issued_by").order_by("-issue").defer("master"))
    context = sheet(record, top=2) | {
        "enrolment": enrolment,
        "where": enrolment.section,
        "issues": issuing.standings(issued),
        "unchanged": bool(issued) and issuing.says_the_same(record, issued[0]),
        "may_issue": access.person(request).is_instructor,
        "error": error,
    }
    return render(request, "coursework/record.html", context, status=status)
