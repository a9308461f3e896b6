"""The office: terms with their sections, course plans, people, settings."""

from django.core.paginator import Paginator
from django.db.models import Count, Prefetch, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access
from coursework.first_steps import first_steps
from coursework.models import Section, User

A_PAGE = 12


@require_safe
@access.only(User.Role.INSTRUCTOR, User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """Show a coordinator everything, an instructor what instructors do here."""
    user = access.person(request)
    if user.is_instructor:
        coordinators = access.staff(user).filter(role=User.Role.COORDINATOR, is_active=True)
        context = {"leads": access.leads(user), "coordinators": coordinators}
        return render(request, "coursework/office.html", context)
    sections = Section.objects.select_related("plan").order_by("plan__code", "name", "pk")
    terms = access.terms(user).prefetch_related(Prefetch("sections", sections))
    here = Count("exercises", filter=Q(exercises__retired_at=None))
    steps = first_steps(user)
    context = {
        "steps": steps,
        "next_step": next((each for each in steps if not each.done), None),
        "page": Paginator(terms, A_PAGE).get_page(request.GET.get("page")),
        "plans": access.plans(user).annotate(exercises_here=here),
        "settings": access.school_settings(user),
    }
    return render(request, "coursework/office.html", context)
