"""What happened to a coupon while somebody was about to grade it, in words."""

from datetime import datetime

from django.utils.translation import gettext as _

from coursework.grading import newest_grade
from coursework.models import Coupon, Grade


def what(coupon: Coupon) -> str:
    """Say what was done to a coupon last and by whom, and what its grader can do now.

    Parameters
    ----------
    coupon : Coupon
        As it is now, changed since the version that was looked at.
    """
    name = coupon.enrolment.user
    if coupon.state == Coupon.State.WITHDRAWN:
        return _("%(name)s withdrew this coupon, so it cannot be graded.") % {"name": name}
    grade = newest_grade(coupon)
    if taken_back := _taken_back_after(coupon, _known_at(grade)):
        return _(
            "%(grader)s took a grade of this coupon back after you opened it. Yours is not saved. "
            "Look at the coupon again, then save again."
        ) % {"grader": taken_back.grader}
    return _graded(grade) if grade else _corrected(coupon)


def _graded(grade: Grade) -> str:
    said = {"grader": grade.grader, "level": grade.level, "decision": grade.get_decision_display()}
    if grade.released_at and grade.released_at > grade.graded_at:
        return (
            _(
                "The grade that %(grader)s gave this coupon was released: level %(level)s, "
                "%(decision)s. Yours is not saved. To put it on top, say why and save again."
            )
            % said
        )
    return (
        _(
            "%(grader)s graded this coupon first: level %(level)s, %(decision)s. Yours is not "
            "saved. To put it on top of the first, say why and save again."
        )
        % said
    )


def _corrected(coupon: Coupon) -> str:
    return _(
        "%(name)s corrected this coupon after you opened it. Your grade is not saved. Look at "
        "what the coupon says now, then save again."
    ) % {"name": coupon.enrolment.user}


def _known_at(grade: Grade | None) -> datetime | None:
    return (grade.released_at or grade.graded_at) if grade else None


def _taken_back_after(coupon: Coupon, moment: datetime | None) -> Grade | None:
    """Return the grade taken back last, where that came after the newest grade and correction."""
    stated = coupon.facts.stated_at if coupon.facts else coupon.handed_in_at
    found = coupon.grades.filter(undone_at__gte=max(stated, moment or stated))
    return found.select_related("grader").order_by("-undone_at").first()
