"""Confirm a limit against the school's own copy, or take that back."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, limit_confirming
from coursework.models import User


@require_POST
@access.only(User.Role.INSTRUCTOR)
def view(request: HttpRequest, limit: str) -> HttpResponse:
    """Do what the button said, for a lead instructor, and go back to the row."""
    user = access.person(request)
    if not access.leads(user):
        raise PermissionDenied
    row = limit_confirming.BY_ID.get(limit)
    if row is None:
        raise Http404
    school = access.school_settings(user).school
    try:
        if "take_back" in request.POST:
            limit_confirming.take_back(school, row, by=user)
            said = _("%(row)s is silent again.")
        else:
            limit_confirming.confirm(school, row, by=user, at=timezone.now())
            said = _("%(row)s is confirmed.")
    except limit_confirming.NotToConfirm as reason:
        messages.error(request, str(reason))
    else:
        kept = _(
            "Coupons already assessed keep their findings; “manage.py recheck” assesses them again."
        )
        messages.success(request, f"{said % {'row': row.row}} {kept}")
    return redirect(f"{reverse('coursework:limits')}?set={row.set}#{row.id}")
