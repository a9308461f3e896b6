"""Grade a coupon: what was welded and logged on one side, the rubric on the other."""

import random
import uuid
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.db.models import prefetch_related_objects
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from coursework import (
    access,
    check_tests,
    grading,
    meanwhile,
    phrases,
    queue,
    scoring,
    second_looks,
)
from coursework.conflicts import ClosedTerm, StaleCoupon
from coursework.forms.grade import GradeForm
from coursework.models import Coupon, Criterion, Grade, RubricVersion, User
from coursework.targets import differences
from coursework.views.coupon import evidence

CHANCE = random.SystemRandom()
SHOWN = (
    "facts__base_metals",
    "facts__runs",
    "facts__cleaning_steps",
    "facts__imperfections",
    "assessment__findings",
    "photos",
    "exercise__windows",
    "grade__grader",
    "grade__scores__criterion",
)


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, public_id: uuid.UUID) -> HttpResponse:
    """Show the coupon with its rubric, or store the grade."""
    user = access.person(request)
    coupon = access.coupon_to_grade(user, public_id)
    version = coupon.exercise.rubric.current()
    criteria = scoring.applying(version.criteria.all(), coupon.exercise)
    if request.method == "POST":
        return _save(request, coupon, version, criteria)
    if getattr(request, "htmx", False):
        return _sum_so_far(request, coupon, criteria)
    prefetch_related_objects([coupon], *SHOWN)
    hold = coupon.section.term.school.settings.hold_grades
    form = GradeForm(criteria=criteria, coupon=coupon, phrases=phrases.own(user), held=hold)
    other = queue.take(coupon, user, timezone.now()) if coupon.is_open else None
    return _page(request, coupon, form, version, other=other)


def _form(request: HttpRequest, coupon: Coupon, criteria: list[Criterion]) -> GradeForm:
    own = phrases.own(access.person(request))
    return GradeForm(request.POST, criteria=criteria, coupon=coupon, phrases=own)


def _sum_so_far(request: HttpRequest, coupon: Coupon, criteria: list[Criterion]) -> HttpResponse:
    form = GradeForm(request.GET, criteria=criteria, coupon=coupon)
    return render(request, "coursework/grade_form.html#sum", _sum(form))


def _save(
    request: HttpRequest, coupon: Coupon, version: RubricVersion, criteria: list[Criterion]
) -> HttpResponse:
    form = _form(request, coupon, criteria)
    seen = grading.as_seen(coupon, form.based_on or 0).exclude(state=Coupon.State.WITHDRAWN)
    stale = not seen.exists()
    if not stale and not form.is_valid():
        prefetch_related_objects([coupon], *SHOWN)
        return _page(request, coupon, form, version, status=422)
    try:
        if stale:
            raise StaleCoupon
        grade = _grade(access.person(request), coupon, form, version)
    except StaleCoupon:
        return _too_late(request, coupon, version, criteria)
    except ClosedTerm as reason:
        prefetch_related_objects([coupon], *SHOWN)
        return _page(request, coupon, form, version, conflict=str(reason), status=409)
    return _next(request, coupon, grade)


@transaction.atomic
def _grade(user: User, coupon: Coupon, form: GradeForm, version: RubricVersion) -> Grade:
    said, now = form.cleaned_data, timezone.now()
    grade = grading.grade_coupon(
        coupon,
        based_on=form.based_on or 0,
        grader=user,
        rubric_version=version,
        scores=form.scores(),
        left_out=form.left_out(),
        decision=said["decision"],
        comment=form.words(),
        repeat=said["repeat"],
        reason=said.get("reason", ""),
        hold=said.get("hold", False),
        at=now,
    )
    if seen := form.check_seen():
        check_tests.record(coupon, seen, by=user, at=now)
    second_looks.draw(grade, CHANCE.random())
    phrases.count(form.chosen_phrases())
    if said["keep_phrase"]:
        phrases.keep(user, said["comment"])
    queue.put_down(coupon, user)
    return grade


def _next(request: HttpRequest, coupon: Coupon, grade: Grade) -> HttpResponse:
    """Go on to the next coupon of the section that is free, or to the queue."""
    user = access.person(request)
    own = access.coupons(user).filter(section=coupon.section)
    messages.success(request, _said(coupon, grade, queue.waiting(own).count()))
    following = queue.next_for(own, user, timezone.now())
    if following is None:
        return redirect("coursework:waiting", pk=coupon.section_id)
    return redirect("coursework:grade", public_id=following.public_id)


def _said(coupon: Coupon, grade: Grade, left: int) -> str:
    predicted = (
        _("%(name)s predicted %(level)s.")
        % {"name": coupon.enrolment.user.first_name, "level": coupon.predicted_level}
        if coupon.predicted_level
        else ""
    )
    words = (
        _("Coupon %(number)s of %(student)s: level %(level)s, %(decision)s.")
        if grade.released_at
        else _("Coupon %(number)s of %(student)s: level %(level)s, %(decision)s, held.")
    )
    saved = words % {
        "number": coupon.number,
        "student": coupon.enrolment.user,
        "level": grade.level,
        "decision": grade.get_decision_display(),
    }
    to_do = ngettext("%(left)s left.", "%(left)s left.", left) % {"left": left}
    return " ".join(filter(None, (saved, predicted, to_do)))


def _too_late(
    request: HttpRequest, coupon: Coupon, version: RubricVersion, criteria: list[Criterion]
) -> HttpResponse:
    """Say who was first, and give everything typed back to be looked at again.

    Where that was this very grade, sent twice, go on as the first time.
    """
    user = access.person(request)
    now = access.coupon_to_grade(user, coupon.public_id)
    prefetch_related_objects([now], *SHOWN)
    form = _form(request, now, criteria)
    if grading.is_stored(now, grader=user, **form.given()):
        return _next(request, now, now.grades.latest("number"))
    return _page(request, now, form, version, conflict=meanwhile.what(now), status=409)


def _page(
    request: HttpRequest,
    coupon: Coupon,
    form: GradeForm,
    version: RubricVersion,
    *,
    conflict: str = "",
    other: User | None = None,
    status: int = 200,
) -> HttpResponse:
    user = access.person(request)
    left = access.coupons(user).filter(section=coupon.section, state=Coupon.State.HANDED_IN)
    context = {
        "student": coupon.enrolment.user,
        "where": coupon.section,
        "form": form,
        "version": version,
        "conflict": conflict,
        "other": other,
        "held": grading.newest_grade(coupon) if coupon.state == Coupon.State.HELD else None,
        "check_result": check_tests.last_of(coupon),
        "last_given": grading.last_given(user, coupon.section, timezone.now()),
        "differences": differences(coupon),
        "earlier": grading.earlier_grades(coupon),
        "withdrawn": coupon.state == Coupon.State.WITHDRAWN,
        "left": left.count(),
        "waiting_url": reverse("coursework:waiting", args=[coupon.section_id]),
        "inches": not coupon.section.term.school.settings.metric_first,
        **evidence(coupon),
        **_sum(form),
    }
    return render(request, "coursework/grade.html", context, status=status)


def _sum(form: GradeForm) -> dict[str, Any]:
    scores = form.scores()
    return {
        "outcome": scoring.preview(scores, form.criteria),
        "scored": len(scores),
        "wanted": len(form.criteria),
    }
