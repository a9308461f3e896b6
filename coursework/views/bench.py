"""The student's home: the exercise in hand, what is still wanted, what came back last."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from coursework import access
from coursework.models import Coupon
from coursework.progress import UNDECIDED, ExerciseProgress, State, states_of
from coursework.targets import title_cells, window_lines


def in_hand(progress: list[ExerciseProgress]) -> ExerciseProgress | None:
    """Return the first exercise that is not finished."""
    return next((each for each in progress if each.state < State.NEARLY_THERE), None) or next(
        (each for each in progress if each.state != State.COMPETENT), None
    )


def view(request: HttpRequest) -> HttpResponse:
    enrolment = access.own_enrolment(access.person(request))
    if enrolment is None or enrolment.left_at:
        return redirect("coursework:join")
    progress = states_of(enrolment)
    current = in_hand(progress)
    own = access.coupons(access.person(request)).filter(enrolment=enrolment)
    metric = enrolment.section.term.school.settings.metric_first
    context = {
        "enrolment": enrolment,
        "current": current,
        "cells": title_cells(current.exercise) if current else [],
        "windows": window_lines(current.exercise, metric) if current else [],
        "others": [each for each in progress if each is not current],
        "back": own.filter(state__in=[Coupon.State.ACCEPTED, Coupon.State.RETURNED])
        .select_related("grade", "assessment")
        .order_by("-grade__graded_at", "-pk")
        .first(),
        "waiting": own.filter(state__in=UNDECIDED).order_by("-handed_in_at", "-pk")[:5],
    }
    return render(request, "coursework/bench.html", context)
