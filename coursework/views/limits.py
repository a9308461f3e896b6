"""Limits known from memory: which of them the school has found in its own copy."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access
from coursework.limit_confirming import FROM_MEMORY, can_be_confirmed, subject
from coursework.models import User


@require_safe
@access.only(User.Role.INSTRUCTOR, User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """Show the rows of one set."""
    user = access.person(request)
    chosen = request.GET.get("set", "")
    name = chosen if chosen in FROM_MEMORY else next(iter(FROM_MEMORY))
    confirmed = {
        each.limit: each
        for each in access.school_settings(user).school.confirmed_limits.select_related(
            "confirmed_by"
        )
    }
    rows = [
        {
            "limit": limit,
            "of": subject(limit),
            "confirmed": confirmed.get(limit.id),
            "can_be_confirmed": can_be_confirmed(limit),
        }
        for limit in FROM_MEMORY[name]
    ]
    context = {
        "sets": [(each, each == name) for each in FROM_MEMORY],
        "name": name,
        "rows": rows,
        "leads": access.leads(user),
    }
    return render(request, "coursework/limits.html", context)
