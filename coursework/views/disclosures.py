"""The log of disclosures, for the coordinator; narrowed to a student and printed where asked."""

from django.core.paginator import Paginator
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access
from coursework.forms.disclosures import DisclosureFilter
from coursework.models import Enrolment, User

A_PAGE = 50


@require_safe
@access.only(User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """Show the log, the newest first."""
    user = access.person(request)
    form = DisclosureFilter(request.GET, students=access.disclosed_students(user))
    about = Enrolment.objects.select_related("user", "section__plan", "section__term").order_by(
        "user__last_name", "user__first_name", "pk"
    )
    found = form.chosen(access.disclosures(user)).prefetch_related(Prefetch("enrolments", about))
    context = {
        "form": form,
        "school": access.school_settings(user).school,
        "page": Paginator(found, A_PAGE).get_page(request.GET.get("page")),
        "narrowed_to": form.cleaned_data.get("student"),
    }
    return render(
        request, "coursework/disclosures.html", context, status=422 if form.errors else 200
    )
