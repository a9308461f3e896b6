"""One rubric: how it is scored now, its versions, and where it is used."""

from collections.abc import Sequence

from django.db.models import Count
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access, rubrics
from coursework.forms.rubric import preview
from coursework.models import RubricVersion


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the version asked for in ``?version=``, else the newest one published."""
    rubric = access.rubric(access.person(request), pk)
    versions = list(
        rubric.versions.annotate(graded=Count("grades"))
        .prefetch_related("criteria__levels")
        .order_by("-number")
    )
    shown = _chosen(versions, request.GET.get("version", ""))
    context = {
        "rubric": rubric,
        "versions": versions,
        "shown": shown,
        "draft": next((each for each in versions if each.published_at is None), None),
        "rows": preview(rubrics.rows_of(shown)),
        "exercises": rubric.exercises.filter(retired_at=None)
        .select_related("plan")
        .order_by("plan__code", "plan_id", "place"),
    }
    return render(request, "coursework/rubric.html", context)


def _chosen(versions: Sequence[RubricVersion], number: str) -> RubricVersion | None:
    if number:
        found = next((each for each in versions if str(each.number) == number), None)
        if found is None:
            raise Http404
        return found
    return next((each for each in versions if each.published_at), None)
