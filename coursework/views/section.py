"""A section at a glance: who is stuck, where everyone is, what fades over the weeks."""

from datetime import timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from coursework import access, joining, safety_stops, section_charts, section_log, stuck
from coursework.models import Coupon, Enrolment, TargetWindow
from coursework.progress import ExerciseProgress, State, states
from coursework.section_log import SectionLog
from coursework.state_cells import grid_cells

STOPS_SHOWN = 3


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the section."""
    user = access.person(request)
    section = access.section_for_staff(user, pk)
    students = access.students_of(section)
    school = section.term.school.settings
    today = timezone.localdate(timezone=school.zone)
    log = section_log.read(access.coupons_of(section), section)
    progress = states(students, log.cells)
    exercises = [each.exercise for each in next(iter(progress.values()), [])]
    week = section.term.week(today)
    running = section.term.closed_at is None and today <= section.term.ends_on
    held_up = _stuck(students, progress, log, week if running else 0)
    stops = [row.coupon for row in log.rows if row.unsafe and row.state == Coupon.State.HANDED_IN]
    unsafe = access.coupons_of(section).filter(pk__in=stops)
    windows = TargetWindow.objects.order_by().filter(
        exercise__in=[each.pk for each in exercises], figure=TargetWindow.Figure.HEAT_INPUT
    )
    row_charts = [
        section_charts.heat_input(log, exercises, windows, metric=school.metric_first),
        section_charts.travel_speed(log, students, exercises),
    ]
    context = {
        "section": section,
        "where": section,
        "week": week,
        "rows": _rows(students, progress, held_up),
        "exercises": exercises,
        "logged": len(log.rows),
        "waiting": sum(row.state == Coupon.State.HANDED_IN for row in log.rows),
        "stops": safety_stops.cards(unsafe, STOPS_SHOWN) if stops else [],
        "more_stops": max(len(stops) - STOPS_SHOWN, 0),
        "stuck": list(held_up.values()),
        "to_sign": _to_sign(students, progress),
        "stuck_rules": [str(rule) for rule in stuck.RULES],
        "charts": section_charts.by_week(log, week),
        "row_charts": [each for each in row_charts if each.rows],
        "grades": user.is_instructor,
    }
    if not students:
        context |= {
            "code": joining.spaced_code(section.join_code),
            "teachers": access.teachers_of(section),
        }
    return render(request, "coursework/section.html", context)


def _stuck(
    students: list[Enrolment],
    progress: dict[int, list[ExerciseProgress]],
    log: SectionLog,
    week: int,
) -> dict[section_log.Cell, dict[str, Any]]:
    """Return who is stuck where and why, safety stops first; in week 0 nothing is due."""
    found = {}
    logged = log.logged_since(week - stuck.SILENT.least)
    for enrolment in students:
        silent = enrolment.pk not in logged and _has_had_time(enrolment)
        for each in progress[enrolment.pk]:
            if each.rules_met:
                continue
            due = each.exercise.due_week
            case = stuck.Case(
                tries=_tries(log, (enrolment.pk, each.exercise.pk)),
                due_week=due if silent and due and due <= week else None,
                silent=silent,
            )
            if said := stuck.reasons(case):
                silent = silent and case.due_week is None
                found[enrolment.pk, each.exercise.pk] = {
                    "student": enrolment.user,
                    "url": _url(enrolment, each),
                    "exercise": each.exercise,
                    "reasons": said,
                    "unsafe": bool(stuck.SAFETY_STOP.says(case)),
                }
    return dict(sorted(found.items(), key=lambda item: not item[1]["unsafe"]))


def _to_sign(
    students: list[Enrolment], progress: dict[int, list[ExerciseProgress]]
) -> list[dict[str, Any]]:
    """Return by student what wants no more than an instructor's signature."""
    ready = [
        (
            each.user,
            [
                (_url(each, one), one.exercise)
                for one in progress[each.pk]
                if one.ready_for_sign_off
            ],
        )
        for each in students
    ]
    return [{"student": who, "exercises": found} for who, found in ready if found]


def _has_had_time(enrolment: Enrolment) -> bool:
    return timezone.now() - enrolment.joined_at >= timedelta(weeks=stuck.SILENT.least)


def _tries(log: SectionLog, cell: section_log.Cell) -> list[stuck.Try]:
    return [
        stuck.Try(row.number, row.state, row.seen, bool(row.unsafe))
        for row in log.cells.get(cell, ())
    ]


def _url(enrolment: Enrolment, progress: ExerciseProgress) -> str:
    page = reverse("coursework:student", args=[enrolment.pk])
    return f"{page}#exercise-{progress.exercise.place}"


def _rows(
    students: list[Enrolment],
    progress: dict[int, list[ExerciseProgress]],
    held_up: dict[section_log.Cell, dict[str, Any]],
) -> list[dict[str, Any]]:
    """Return every student with every exercise."""
    return [_row(each, progress[each.pk], held_up) for each in students]


def _row(
    enrolment: Enrolment,
    progress: list[ExerciseProgress],
    held_up: dict[section_log.Cell, dict[str, Any]],
) -> dict[str, Any]:
    url = reverse("coursework:student", args=[enrolment.pk])
    reached = [each.state for each in progress]
    begun = max((n for n, state in enumerate(reached, start=1) if state), default=0)
    return {
        "name": f"{enrolment.user.last_name}, {enrolment.user.first_name}",
        "url": url,
        "competent": _("%(competent)d of %(total)d")
        % {"competent": reached.count(State.COMPETENT), "total": len(reached)},
        "open": _not_begun(progress, begun),
        "cells": grid_cells(
            url,
            (
                (
                    each.exercise.place,
                    str(each.exercise),
                    int(state),
                    (enrolment.pk, each.exercise.pk) in held_up,
                    each.waiting > 0,
                    n > begun,
                )
                for n, (each, state) in enumerate(zip(progress, reached, strict=True), start=1)
            ),
        ),
    }


def _not_begun(progress: list[ExerciseProgress], begun: int) -> str:
    """Say on phones, where they are no cells, which exercises the student has not reached."""
    if begun == len(progress):
        return ""
    ends = {"first": progress[begun].exercise.place, "last": progress[-1].exercise.place}
    return _("%(first)d to %(last)d not started") % ends
