"""One course plan: its exercises in their order, and those that were retired."""

from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from coursework import access, exercises
from coursework.models import CoursePlan

STEPS = {"up": -1, "down": 1}


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the plan; move an exercise, retire it or bring it back."""
    user = access.person(request)
    plan = access.plan(user, pk)
    if request.method != "POST":
        return _page(request, plan)
    act, _dash, text = request.POST.get("act", "").partition("-")
    chosen, order = next(iter(access.keys([text])), 0), request.POST.get("based_on", "")
    try:
        if act in STEPS:
            exercises.move(plan, chosen, STEPS[act], based_on=order)
        elif act == "retire":
            exercises.retire(plan, chosen, based_on=order, by=user, at=timezone.now())
        elif act == "back":
            exercises.bring_back(plan, chosen, based_on=order, by=user)
    except exercises.ExerciseChanged as reason:
        return _page(request, plan, conflict=str(reason), status=409)
    return redirect("coursework:plan", pk=pk)


def _page(
    request: HttpRequest, plan: CoursePlan, *, conflict: str = "", status: int = 200
) -> HttpResponse:
    rows = list(
        plan.exercises.select_related("rubric")
        .annotate(logged=Count("coupons"))
        .order_by("place", "pk")
    )
    context = {
        "plan": plan,
        "exercises": [each for each in rows if not each.retired_at],
        "retired": [each for each in rows if each.retired_at],
        "sections": plan.sections.select_related("term").order_by("-term__starts_on", "name", "pk"),
        "order": exercises.order_text(each for each in rows if not each.retired_at),
        "conflict": conflict,
    }
    return render(request, "coursework/plan.html", context, status=status)
