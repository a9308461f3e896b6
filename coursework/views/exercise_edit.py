"""Change what an exercise asks; where it has coupons, a new one takes its place."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, exercises
from coursework.exercise_page import ExercisePage


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the form, propose windows, or store what was typed."""
    user = access.person(request)
    exercise = access.exercise_of_plan(user, pk)
    page = ExercisePage(request, exercise.plan, exercise)
    if request.method != "POST" or not page.asked:
        return page.answer()
    based_on = request.POST.get("based_on", "")
    try:
        kept = exercises.change(exercise, page.asked, based_on=based_on, by=user, at=timezone.now())
    except exercises.ExerciseChanged as reason:
        return page.answer(conflict=str(reason))
    said = _("%(exercise)s is changed.")
    if kept.pk != exercise.pk:
        said = _("A new %(exercise)s is in its place. The old one keeps its coupons.")
    messages.success(request, said % {"exercise": kept})
    return redirect("coursework:plan", pk=exercise.plan_id)
