"""The roster of a section: who is in, who waits to be let in, who left, and the join code."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from coursework import access, joining
from coursework.models import Enrolment, Section
from coursework.roster import same


def answered(request: HttpRequest, section: Section, *, done: str, refused: str) -> HttpResponse:
    """Go back to the roster and say what was done, or where nothing was, why."""
    if done:
        messages.success(request, done)
    else:
        messages.error(request, refused)
    return redirect("coursework:roster", pk=section.pk)


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the roster."""
    section, students = access.roster(access.person(request), pk)
    everybody = list(students)
    inside = [each for each in everybody if not each.left_at and not each.waits_for_approval]
    names = {_name(each) for each in inside}
    waiting = [each for each in everybody if each.waits_for_approval]
    context = {
        "section": section,
        "where": section,
        "inside": inside,
        "waiting": [(each, _name(each) in names) for each in waiting],
        "left": [each for each in everybody if each.left_at and not each.waits_for_approval],
        "code": joining.spaced_code(section.join_code),
        "new": sum(each.user.is_active and not each.user.has_usable_password() for each in inside),
        "last_day": joining.last_day(section),
        "joining_open": joining.is_open(section, timezone.now()),
    }
    return render(request, "coursework/roster.html", context)


def _name(enrolment: Enrolment) -> tuple[str, str]:
    return same(enrolment.user.last_name), same(enrolment.user.first_name)
