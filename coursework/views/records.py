"""The term records of a section: how far everybody is, what is missing, what was issued."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access, issuing, progress
from coursework.models import Section
from coursework.progress import State


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the section's records."""
    return page(request, access.section_for_staff(access.person(request), pk))


def page(
    request: HttpRequest, section: Section, error: str = "", status: int = 200
) -> HttpResponse:
    """Show the records of a section, with what went wrong on the way, if anything."""
    user = access.person(request)
    students = list(access.enrolments(user).filter(section=section))
    states, issued = progress.states(students), issuing.latest_of(students)
    rows = [
        {
            "enrolment": each,
            "progress": states[each.pk],
            "competent": progress.competent(states[each.pk]),
            "ready": sum(one.ready_for_sign_off for one in states[each.pk]),
            "waiting": sum(one.waiting for one in states[each.pk]),
            "unsafe": sum(one.safety_open for one in states[each.pk]),
            "of": len(states[each.pk]),
            "issued": issued.get(each.pk),
        }
        for each in students
    ]
    context = {
        "section": section,
        "where": section,
        "rows": rows,
        "exercises": _exercises(rows),
        "sums": _sums(rows),
        "issues": list(
            section.records.defer("master").select_related("issued_by").order_by("-issue")
        ),
        "may_issue": user.is_instructor,
        "error": error,
    }
    return render(request, "coursework/records.html", context, status=status)


def _exercises(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the columns, each with how many students are competent in it."""
    columns = zip(*(each["progress"] for each in rows), strict=True)
    return [
        {
            "exercise": column[0].exercise,
            "competent": sum(each.state == State.COMPETENT for each in column),
        }
        for column in columns
    ]


def _sums(rows: list[dict[str, Any]]) -> dict[str, int]:
    """Return what a head of department asks first."""
    return {
        "done": sum(each["of"] > 0 and each["competent"] == each["of"] for each in rows),
        "waiting": sum(each["waiting"] for each in rows),
        "ready": sum(each["ready"] for each in rows),
        "unsafe": sum(each["unsafe"] for each in rows),
        "not_issued": sum(each["issued"] is None for each in rows),
        "withdrawn": sum(bool(each["issued"] and each["issued"].withdrawn_at) for each in rows),
    }
