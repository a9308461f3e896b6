"""A student's own progress: every exercise, the figures over time, the own eye for a weld."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from coursework import access, issuing
from coursework.models import Coupon, Enrolment
from coursework.record import ExerciseLine, TermRecord
from coursework.record_making import term_record
from coursework.record_sheet import FIGURES, hopefulness
from coursework.templatetags.weldlog_tags import significant

COUPONS_IN_A_CHART = 12


def view(request: HttpRequest) -> HttpResponse:
    enrolment = access.own_enrolment(access.person(request))
    if enrolment is None:
        return redirect("coursework:join")
    record = term_record(enrolment)
    chosen = _chosen(record, request.GET.get("exercise", ""))
    context = {
        "enrolment": enrolment,
        "record": record,
        "chosen": chosen,
        "charts": _figure_charts(enrolment, chosen) if chosen else [],
        "judgment": _judgment(enrolment),
        "issues": issuing.standings(
            list(enrolment.records.defer("master").select_related("issued_by"))
        ),
        "hopefulness": hopefulness(record.prediction.mean_difference),
        "cleaning": [
            (str(each.week), round(each.percent or 0)) for each in record.cleaning_in_order
        ],
    }
    return render(request, "coursework/progress.html", context)


def _chosen(record: TermRecord, place: str) -> ExerciseLine | None:
    """Return the exercise asked for, else the one that the last coupon is of."""
    tried = [each for each in record.exercises if each.last_handed_in_at]
    asked = [each for each in tried if str(each.place) == place]
    newest = max(tried, key=lambda each: str(each.last_handed_in_at), default=None)
    return asked[0] if asked else newest


def _newest(enrolment: Enrolment, **only: object) -> list[Coupon]:
    """Return the newest coupons, the oldest of them first."""
    found = (
        Coupon.objects.filter(enrolment=enrolment, **only)
        .exclude(state=Coupon.State.WITHDRAWN)
        .select_related("assessment", "grade")
        .order_by("-handed_in_at", "-pk")
    )
    return list(reversed(found[:COUPONS_IN_A_CHART]))


def _figure_charts(enrolment: Enrolment, line: ExerciseLine) -> list[dict[str, object]]:
    coupons = _newest(enrolment, exercise__place=line.place)
    return [
        {
            "title": FIGURES[figure.name][0],
            "unit": FIGURES[figure.name][1],
            "low": figure.window_low,
            "high": figure.window_high,
            "points": [
                (str(each.number), _short(each, figure.name, FIGURES[figure.name][2]))
                for each in coupons
            ],
        }
        for figure in line.figures
    ]


def _short(coupon: Coupon, name: str, digits: int) -> float | None:
    value = getattr(coupon.assessment, name, None)
    return None if value is None else float(significant(value, digits))


def _judgment(enrolment: Enrolment) -> list[tuple[str, int]]:
    """Return by how many levels the student's own one was above the grade."""
    graded = _newest(enrolment, grade__isnull=False, predicted_level__isnull=False)
    return [
        (str(each.number), each.predicted_level - each.grade.level)
        for each in graded
        if each.grade and each.predicted_level is not None
    ]
