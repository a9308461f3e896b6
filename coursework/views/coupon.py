"""One coupon: what was logged, what the engine says of it, what the instructor decided."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from coursework import access
from coursework.grading import earlier_grades
from coursework.models import Coupon
from coursework.targets import title_cells
from coursework.wording import (
    bead_marks,
    cause_groups,
    cleaning_rows,
    fact_rows,
    figures,
    finding_cards,
    not_judged,
    since_last,
    zone_of,
)


def previous(coupon: Coupon) -> Coupon | None:
    """Return the student's coupon of the same exercise before this one."""
    return (
        Coupon.objects.filter(enrolment=coupon.enrolment_id, exercise=coupon.exercise_id)
        .filter(number__lt=coupon.number)
        .exclude(state=Coupon.State.WITHDRAWN)
        .select_related("assessment")
        .order_by("-number")
        .first()
    )


def evidence(coupon: Coupon) -> dict[str, object]:
    """Return everything that a page shows of a coupon, for the student and for the grader."""
    facts, assessment = coupon.facts, coupon.assessment
    if facts is None or assessment is None:
        raise Coupon.DoesNotExist(f"{coupon} states nothing.")
    document = facts.document()
    before = previous(coupon)
    shop_first = not coupon.section.term.school.settings.metric_first
    cards = finding_cards(assessment, document, facts.typed)
    return {
        "coupon": coupon,
        "facts": facts,
        "assessment": assessment,
        "cells": title_cells(coupon.exercise),
        "stops": [card for card in cards if card["severity"] == "stop"],
        "flags": [card for card in cards if card["severity"] != "stop"],
        "causes": cause_groups(assessment, document, facts.typed),
        "figures": figures(
            assessment.figures, document, list(coupon.exercise.windows.all()), shop_first=shop_first
        ),
        "marks": bead_marks(document),
        "length_mm": document.get("weld_length_mm"),
        "cleaning": cleaning_rows(document, zone_of(coupon)),
        "fact_rows": fact_rows(facts, document),
        "not_judged": not_judged(assessment),
        "shop_first": shop_first,
        "before": before,
        "changes": since_last(
            assessment.figures,
            before.assessment.figures if before and before.assessment else None,
            shop_first=shop_first,
        ),
        "photos": list(coupon.photos.all()),
    }


def view(request: HttpRequest, public_id: uuid.UUID) -> HttpResponse:
    coupon = access.coupon(access.person(request), public_id)
    # Not the newest of its grades: that one may be held.
    grade = coupon.grade
    context = evidence(coupon) | {
        "grade": grade,
        "earlier": [each for each in earlier_grades(coupon) if each.released_at],
        "scores": grade.scores.select_related("criterion") if grade else [],
        "corrections": coupon.all_facts.order_by("number") if coupon.version > 1 else [],
    }
    return render(request, "coursework/coupon.html", context)
