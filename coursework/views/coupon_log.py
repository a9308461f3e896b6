"""Log a coupon: the form in the order of the work, and the hand-in."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from coursework import access
from coursework.conflicts import OtherContent
from coursework.forms.coupon_statement import content_hash
from coursework.hand_in import hand_in
from coursework.logging_page import coupon_form, take_photos
from coursework.targets import title_cells


@require_http_methods(["GET", "POST"])
def view(request: HttpRequest, exercise: int) -> HttpResponse:
    enrolment, found = access.own_exercise(access.person(request), exercise)
    now = timezone.now()
    form = coupon_form(enrolment, found, now, data=request.POST or None)
    status, there = 200, None
    if request.method == "POST":
        photos = take_photos(request, form)
        if form.is_valid():
            try:
                coupon, _created = hand_in(
                    enrolment,
                    found,
                    form.entry().statement(),
                    client_id=form.cleaned_data["client_id"],
                    content_hash=content_hash(
                        dict(request.POST.lists()), found, [each.name for each in photos]
                    ),
                    photos=photos,
                    at=now,
                )
            except OtherContent:
                form.refuse_other_content()
                status = 409
                there = enrolment.coupons.get(client_id=form.cleaned_data["client_id"])
            else:
                return redirect("coursework:coupon", public_id=coupon.public_id)
        else:
            status = 422
    context = {"form": form, "exercise": found, "cells": title_cells(found), "there": there}
    return render(request, "coursework/coupon_log.html", context, status=status)
