"""A section at a glance: where everyone is, what must be seen first, what fades over the weeks."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import Count, Prefetch, Q, QuerySet
from django.db.models.functions import TruncDate
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from coursework import access, queue, wording
from coursework.assess import CLEANING_ORDER_RULES
from coursework.models import Coupon, Enrolment, Finding, Section, Term, User
from coursework.progress import ExerciseProgress, competent, states

STOPS_SHOWN = 3
KINDS_SHOWN = 3
SAFETY_STOP = Q(severity=Finding.Severity.STOP, rule__startswith="safety-")
SKIPPED_OR_SWAPPED = Q(assessment__findings__rule__in=CLEANING_ORDER_RULES)


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the section."""
    user = access.person(request)
    section = access.section_for_staff(user, pk)
    coupons = access.coupons(user).filter(section=section)
    rows = _rows(user, section)
    week = section.term.week(timezone.localdate(timezone=section.term.school.settings.zone))
    cells = [each for row in rows for each, _url in row["cells"]]
    context = {
        "section": section,
        "where": section,
        "week": week,
        "rows": rows,
        "exercises": [each.exercise for each, _url in rows[0]["cells"]] if rows else [],
        "logged": sum(each.logged for each in cells),
        "waiting": sum(each.waiting for each in cells),
        "stops": _safety_stops(coupons),
        "charts": _charts(coupons.exclude(state=Coupon.State.WITHDRAWN), section, week),
        "grades": user.is_instructor,
    }
    return render(request, "coursework/section.html", context)


def _rows(user: User, section: Section) -> list[dict[str, Any]]:
    """Return every student with every exercise."""
    students = list(access.enrolments(user).filter(section=section))
    progress = states(students)
    return [_row(each, progress[each.pk]) for each in students]


def _row(enrolment: Enrolment, progress: list[ExerciseProgress]) -> dict[str, Any]:
    url = reverse("coursework:student", args=[enrolment.pk])
    begun = max((n for n, each in enumerate(progress, start=1) if each.state), default=0)
    return {
        "student": enrolment.user,
        "url": url,
        "competent": competent(progress),
        "begun": begun,
        "open": progress[begun:],
        "cells": [(each, f"{url}#exercise-{each.exercise.place}") for each in progress],
    }


def _safety_stops(coupons: QuerySet[Coupon]) -> list[dict[str, Any]]:
    """Return the oldest safety stops of coupons that nobody has graded yet."""
    safety = Prefetch("assessment__findings", Finding.objects.filter(SAFETY_STOP))
    waiting = (
        queue.open_safety_stops(coupons)
        .select_related("assessment")
        .prefetch_related(safety)[:STOPS_SHOWN]
    )
    return [
        {"coupon": each, "flags": wording.finding_cards(each.assessment, {}, {})}
        for each in waiting
        if each.assessment
    ]


def _charts(coupons: QuerySet[Coupon], section: Section, week: int) -> list[dict[str, Any]]:
    """Return coupons by week: cleaning first, then the imperfections seen most often."""
    dated = coupons.order_by().annotate(
        day=TruncDate("handed_in_at", tzinfo=section.term.school.settings.zone)
    )
    counted = Count("pk", distinct=True)
    skipped = dated.filter(SKIPPED_OR_SWAPPED).values_list("day").annotate(number=counted)
    seen = dated.filter(facts__imperfections__isnull=False).values_list(
        "facts__imperfections__number", "day"
    )
    by_kind: dict[str, list[tuple[date, int]]] = defaultdict(list)
    for kind, day, count in seen.annotate(number=counted):
        by_kind[kind].append((day, count))
    titles = {_("Coupons with a cleaning step skipped or swapped"): list(skipped)}
    for kind in sorted(by_kind, key=lambda kind: (-_total(by_kind[kind]), kind))[:KINDS_SHOWN]:
        name = wording.imperfection(kind)["name"]
        titles[_("Coupons with %(name)s") % {"name": name.lower()}] = by_kind[kind]
    return [
        {"title": title, "points": _by_week(days, section.term, week)}
        for title, days in titles.items()
    ]


def _total(days: Iterable[tuple[date, int]]) -> int:
    return sum(count for _day, count in days)


def _by_week(days: Iterable[tuple[date, int]], term: Term, week: int) -> list[tuple[str, int]]:
    """Add counts of days up to weeks of the term, from the first to the present one."""
    counts: Counter[int] = Counter()
    for day, count in days:
        counts[term.week(day)] += count
    return [(str(number), counts[number]) for number in range(1, week + 1)]
