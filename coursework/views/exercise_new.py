"""Add an exercise to a course plan."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, exercises
from coursework.exercise_page import ExercisePage


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the form, propose windows, or store the exercise behind the others."""
    user = access.person(request)
    plan = access.plan(user, pk)
    page = ExercisePage(request, plan)
    if request.method != "POST" or not page.asked:
        return page.answer()
    try:
        exercise = exercises.add(plan, page.asked, by=user)
    except exercises.ExerciseChanged as reason:
        return page.answer(conflict=str(reason))
    messages.success(request, _("%(exercise)s is in the plan.") % {"exercise": exercise})
    return redirect("coursework:plan", pk=pk)
