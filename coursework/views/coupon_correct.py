"""Correct a coupon while it waits for a grade; what it stated before stays."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from coursework import access, closed_term, terms
from coursework.conflicts import ClosedTerm, StaleCoupon
from coursework.forms.coupon_initial import initial_from
from coursework.hand_in import correct
from coursework.logging_page import coupon_form, take_photos
from coursework.targets import title_cells
from coursework.wording import zone_of


@require_http_methods(["GET", "POST"])
def view(request: HttpRequest, public_id: uuid.UUID) -> HttpResponse:
    user = access.person(request)
    coupon = access.own_coupon(user, public_id)
    if not coupon.is_open:
        return render(request, "coursework/coupon_closed.html", {"coupon": coupon}, status=409)
    initial = initial_from(coupon, zone_of(coupon))
    form = coupon_form(
        coupon.enrolment,
        coupon.exercise,
        coupon.handed_in_at,
        data=request.POST or None,
        initial=initial,
        carry=False,
    )
    status = 200
    if request.method == "POST":
        photos = take_photos(request, form)
        if form.is_valid():
            try:
                correct(
                    coupon,
                    form.entry().statement(),
                    based_on=form.cleaned_data["based_on"] or 0,
                    user=user,
                    photos=photos,
                    at=timezone.now(),
                )
            except StaleCoupon:
                coupon.refresh_from_db()
                form.refuse_stale(coupon)
                status = 409
            except ClosedTerm as reason:
                form.add_error(None, str(reason))
                status = 409
            else:
                return redirect("coursework:coupon", public_id=coupon.public_id)
        else:
            status = 422
    else:
        try:
            terms.need_open(coupon.section.term)
        except ClosedTerm as reason:
            return closed_term.refusal(request, reason)
    context = {
        "form": form,
        "coupon": coupon,
        "exercise": coupon.exercise,
        "cells": title_cells(coupon.exercise),
    }
    return render(request, "coursework/coupon_correct.html", context, status=status)
