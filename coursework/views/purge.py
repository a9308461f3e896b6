"""The purge: first what would be removed, then a typed confirmation, then batch by batch."""

import time
from typing import Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, purge_plan, purging
from coursework.forms.purge import PurgeForm
from coursework.models import Purge, School, User

# One request removes for so long, then shows how far it is.
A_REQUEST_S: Final = 8.0


@require_http_methods(["GET", "HEAD", "POST"])
@access.only(User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """Say what would be removed, begin, go on, or stop."""
    user = access.person(request)
    school = access.school_settings(user).school
    running = purging.unfinished(school)
    if request.method == "POST" and running:
        return _go_on(request, running, user)
    if running:
        return render(request, "coursework/purge.html", {"running": running, "school": school})
    return _begin(request, school, user)


def _begin(request: HttpRequest, school: School, user: User) -> HttpResponse:
    now = timezone.now()
    plan = purge_plan.plan(school, now)
    form, status = PurgeForm(request.POST or None, plan=plan), 200
    if request.method == "POST":
        status = 422
        try:
            purging.need_as_shown(plan, request.POST.get("shown", ""))
            if form.is_valid() and plan.total:
                return _run(request, purging.start(school, plan, by=user, at=now), user)
        except purging.NotAsShown as reason:
            form, status = PurgeForm(plan=plan), 409
            messages.error(request, str(reason))
    context = {"form": form, "plan": plan, "school": school}
    return render(request, "coursework/purge.html", context, status=status)


def _go_on(request: HttpRequest, running: Purge, user: User) -> HttpResponse:
    if "stop" in request.POST:
        purging.stop(running, by=user, at=timezone.now())
        messages.success(request, _("Stopped. What is left stays until the next purge."))
        return redirect("coursework:retention")
    return _run(request, running, user)


def _run(request: HttpRequest, purge: Purge, user: User) -> HttpResponse:
    """Remove for as long as a request may take, and come back to the page."""
    ends = time.monotonic() + A_REQUEST_S
    for _removed in purging.run(purge, by=user, at=timezone.now()):
        if time.monotonic() > ends:
            break
    purge.refresh_from_db()
    if purge.is_open:
        return redirect("coursework:purge")
    messages.success(
        request, _("Done: %(count)d removed, and logged below.") % {"count": purge.done}
    )
    return redirect("coursework:retention")
