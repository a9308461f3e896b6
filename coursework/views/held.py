"""Grades that are held: let students see them, all together or those chosen."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from coursework import access, grading
from coursework.models import User


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what is held, or release it."""
    user = access.person(request)
    section = access.section_for_staff(user, pk, User.Role.INSTRUCTOR)
    coupons = access.coupons(user).filter(section=section)
    if request.method == "POST":
        chosen = [each for each in request.POST.getlist("coupon") if each.isascii()]
        numbers = [int(each) for each in chosen if each.isdigit() and len(each) < 19]
        released = grading.release(coupons.filter(pk__in=numbers), by=user, at=timezone.now())
        if released:
            said = ngettext("%d grade released.", "%d grades released.", released) % released
            messages.success(request, said)
        else:
            messages.error(request, _("Choose at least one grade to release."))
        return redirect("coursework:held", pk=section.pk)
    context = {"section": section, "where": section, "held": grading.held(coupons)}
    return render(request, "coursework/held.html", context)
