"""Log a coupon: the form in the order of the work, and the hand-in."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from coursework import access, closed_term, terms
from coursework.conflicts import ClosedTerm, OtherContent
from coursework.forms.coupon_statement import content_hash
from coursework.hand_in import hand_in
from coursework.logging_page import coupon_form, take_photos
from coursework.models import Enrolment, Exercise, User
from coursework.targets import title_cells


@require_http_methods(["GET", "POST"])
def view(request: HttpRequest, exercise: int) -> HttpResponse:
    enrolment, found = access.own_exercise(access.person(request), exercise)
    live = reverse("coursework:coupon_live", args=[exercise])
    return page(request, enrolment, found, live=live)


def page(
    request: HttpRequest,
    enrolment: Enrolment,
    exercise: Exercise,
    *,
    live: str,
    logged_by: User | None = None,
) -> HttpResponse:
    """Show the form of a coupon, or hand it in.

    Parameters
    ----------
    live : str
        The address that works out figures and flags so far.
    logged_by : User or None
        Who logs it for the student; None where the student does.
    """
    now = timezone.now()
    form = coupon_form(enrolment, exercise, now, data=request.POST or None)
    status, there = 200, None
    if request.method == "POST":
        photos = take_photos(request, form)
        if form.is_valid():
            try:
                coupon, _created = hand_in(
                    enrolment,
                    exercise,
                    form.entry().statement(),
                    client_id=form.cleaned_data["client_id"],
                    content_hash=content_hash(
                        dict(request.POST.lists()), exercise, [each.name for each in photos]
                    ),
                    photos=photos,
                    logged_by=logged_by,
                    at=now,
                )
            except OtherContent:
                form.refuse_other_content()
                status = 409
                there = enrolment.coupons.get(client_id=form.cleaned_data["client_id"])
            except ClosedTerm as reason:
                form.add_error(None, str(reason))
                status = 409
            else:
                return redirect("coursework:coupon", public_id=coupon.public_id)
        else:
            status = 422
    else:
        try:
            terms.need_open(enrolment.section.term)
        except ClosedTerm as reason:
            return closed_term.refusal(request, reason)
    context = {
        "form": form,
        "exercise": exercise,
        "cells": title_cells(exercise),
        "there": there,
        "live": live,
        "log_for": enrolment.user if logged_by else None,
        "draft": f"{access.person(request).pk}-{exercise.pk}"
        + (f"-{enrolment.pk}" if logged_by else ""),
    }
    return render(request, "coursework/coupon_log.html", context, status=status)
