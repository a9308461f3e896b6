"""Choose light or dark; kept per device."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from coursework.next_page import next_page

A_YEAR_S = 365 * 24 * 60 * 60


@login_not_required
@require_POST
def view(request: HttpRequest) -> HttpResponse:
    answer = redirect(next_page(request, "coursework:home"))
    theme = "dark" if request.POST.get("theme") == "dark" else "light"
    answer.set_cookie(
        "theme",
        theme,
        max_age=A_YEAR_S,
        secure=request.is_secure(),
        httponly=True,
        samesite="Lax",
    )
    return answer
