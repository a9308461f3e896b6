"""The term records of a section: how far each student is, and what was issued."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from coursework import access, issuing, progress


def view(request: HttpRequest, pk: int) -> HttpResponse:
    user = access.person(request)
    section = access.section_for_staff(user, pk)
    students = list(access.enrolments(user).filter(section=section))
    states, issued = progress.states(students), issuing.latest_of(students)
    rows = [
        {
            "enrolment": each,
            "competent": progress.competent(states[each.pk]),
            "ready": sum(one.ready_for_sign_off for one in states[each.pk]),
            "waiting": sum(one.waiting for one in states[each.pk]),
            "of": len(states[each.pk]),
            "issued": issued.get(each.pk),
        }
        for each in students
    ]
    return render(request, "coursework/records.html", {"section": section, "rows": rows})
