"""How far everybody in a section is, as a table for a spreadsheet."""

from django.http import HttpRequest, HttpResponse
from django.utils.text import slugify

from coursework import access, exports, issuing, progress
from coursework.views.record_csv import csv_response


def view(request: HttpRequest, pk: int) -> HttpResponse:
    user = access.person(request)
    section = access.section_for_staff(user, pk)
    students = list(access.enrolments(user).filter(section=section))
    states = progress.states(students)
    table = exports.section_csv(
        section, [(each, states[each.pk]) for each in students], issuing.latest_of(students)
    )
    return csv_response(table, f"{slugify(str(section)) or 'section'}.csv")
