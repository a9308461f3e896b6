"""The rubrics of a school, and the start of a new one."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count, Exists, Max, OuterRef, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, rubrics
from coursework.forms.rubric import RubricStartForm
from coursework.models import RubricVersion, User

A_PAGE = 20


@require_http_methods(["GET", "HEAD", "POST"])
@access.only(User.Role.INSTRUCTOR, User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """List them, or start one and go on to its draft."""
    user = access.person(request)
    found = access.rubrics(user)
    form = RubricStartForm(request.POST or None, others=found)
    status, conflict = 200, ""
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                school, said = access.school_settings(user).school, form.cleaned_data
                rubric = rubrics.start(school, said["title"], said["like"])
            except rubrics.TitleTaken as reason:
                status, conflict = 409, str(reason)
            else:
                messages.success(request, _("Write its rows, then publish it."))
                return redirect("coursework:rubric_draft", pk=rubric.pk)
    listed = found.annotate(
        published=Max("versions__number", filter=Q(versions__published_at__isnull=False)),
        drafted=Exists(RubricVersion.objects.filter(rubric=OuterRef("pk"), published_at=None)),
        used=Count("exercises", filter=Q(exercises__retired_at=None), distinct=True),
    )
    context = {
        "page": Paginator(listed, A_PAGE).get_page(request.GET.get("page")),
        "form": form,
        "conflict": conflict,
    }
    return render(request, "coursework/rubrics.html", context, status=status)
