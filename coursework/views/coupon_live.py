"""Figures and flags beside the form, from what can be read so far; nothing is stored."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_POST

from coursework import access
from coursework.assess import review_document
from coursework.logging_page import coupon_form
from coursework.models import Enrolment, Exercise
from coursework.wording import figures, live_cards


@require_POST
def view(request: HttpRequest, exercise: int) -> HttpResponse:
    return page(request, *access.own_exercise(access.person(request), exercise))


def page(request: HttpRequest, enrolment: Enrolment, exercise: Exercise) -> HttpResponse:
    """Show what can be read so far of a coupon of an exercise."""
    form = coupon_form(enrolment, exercise, timezone.now(), data=request.POST, live=True)
    form.is_valid()
    document = form.entry().document()
    school = enrolment.section.term.school.settings
    said = review_document(document, school).as_json()
    context = {
        "figures": figures(
            said["figures"],
            document,
            list(exercise.windows.all()),
            shop_first=not school.metric_first,
        ),
        "cards": live_cards(said["findings"], document),
    }
    return render(request, "coursework/coupon_log.html#live", context)
