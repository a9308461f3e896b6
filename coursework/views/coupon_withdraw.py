"""Withdraw a coupon while it waits for a grade; asked once more before it is done."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, closed_term
from coursework.conflicts import ClosedTerm, StaleCoupon
from coursework.hand_in import withdraw


@require_http_methods(["GET", "POST"])
def view(request: HttpRequest, public_id: uuid.UUID) -> HttpResponse:
    user = access.person(request)
    coupon = access.own_coupon(user, public_id)
    if request.method == "GET" and coupon.is_open:
        return render(request, "coursework/coupon_withdraw.html", {"coupon": coupon})
    based_on = request.POST.get("based_on", "")
    try:
        version = int(based_on) if based_on.isdecimal() and len(based_on) < 9 else 0
        withdraw(coupon, based_on=version, by=user)
    except StaleCoupon:
        coupon.refresh_from_db()
        return render(request, "coursework/coupon_closed.html", {"coupon": coupon}, status=409)
    except ClosedTerm as reason:
        return closed_term.refusal(request, reason)
    messages.success(
        request, _("%(coupon)s is withdrawn. What you logged is kept.") % {"coupon": coupon}
    )
    return redirect("coursework:coupon", public_id=coupon.public_id)
