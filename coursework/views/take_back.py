"""Take the last grade of a coupon back, for ten minutes."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, grading
from coursework.conflicts import ClosedTerm, StaleCoupon


@require_POST
def view(request: HttpRequest, public_id: uuid.UUID) -> HttpResponse:
    """Take it back and open the coupon again."""
    user = access.person(request)
    coupon = access.coupon_to_grade(user, public_id)
    try:
        grading.take_back(coupon, by=user, at=timezone.now())
    except (grading.TooLate, ClosedTerm) as reason:
        messages.error(request, str(reason))
    except StaleCoupon:
        messages.error(request, _("The coupon was changed just now; look at it again."))
    else:
        messages.success(request, _("Taken back. The grade stays on file, marked so."))
    return redirect("coursework:grade", public_id=coupon.public_id)
