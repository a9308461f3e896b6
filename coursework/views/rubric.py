"""One rubric: how it is scored now, its versions, and where it is used; give it another title."""

from collections.abc import Sequence

from django.contrib import messages
from django.db.models import Count
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, rubrics
from coursework.conflicts import Conflict
from coursework.forms.rubric import RubricTitleForm, preview
from coursework.models import Rubric, RubricVersion, User


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the version asked for in ``?version=``, else the newest one published, or rename it."""
    user = access.person(request)
    rubric = access.rubric(user, pk)
    others = access.rubrics(user).exclude(pk=pk)
    if request.method != "POST":
        form = RubricTitleForm(initial={"title": rubric.title}, others=others)
        return _page(request, rubric, form)
    return _renamed(request, rubric, RubricTitleForm(request.POST, others=others), user)


def _renamed(
    request: HttpRequest, rubric: Rubric, form: RubricTitleForm, user: User
) -> HttpResponse:
    if not form.is_valid():
        return _page(request, rubric, form, status=422)
    title = form.cleaned_data["title"]
    try:
        rubrics.rename(rubric, title, was=request.POST.get("was", ""), by=user)
    except Conflict as reason:
        return _page(request, rubric, form, conflict=str(reason), status=409)
    messages.success(request, _("The rubric is called %(title)s now.") % {"title": title})
    return redirect("coursework:rubric", pk=rubric.pk)


def _page(
    request: HttpRequest,
    rubric: Rubric,
    form: RubricTitleForm,
    *,
    conflict: str = "",
    status: int = 200,
) -> HttpResponse:
    versions = list(
        rubric.versions.annotate(graded=Count("grades"))
        .prefetch_related("criteria__levels")
        .order_by("-number")
    )
    shown = _chosen(versions, request.GET.get("version", ""))
    context = {
        "rubric": rubric,
        "form": form,
        "conflict": conflict,
        "versions": versions,
        "shown": shown,
        "draft": next((each for each in versions if each.published_at is None), None),
        "rows": preview(rubrics.rows_of(shown)),
        "exercises": rubric.exercises.filter(retired_at=None)
        .select_related("plan")
        .order_by("plan__code", "plan_id", "place"),
    }
    return render(request, "coursework/rubric.html", context, status=status)


def _chosen(versions: Sequence[RubricVersion], number: str) -> RubricVersion | None:
    if number:
        found = next((each for each in versions if str(each.number) == number), None)
        if found is None:
            raise Http404
        return found
    return next((each for each in versions if each.published_at), None)
