"""Coupons, and what was graded of them."""

import uuid

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404

from coursework.access.roles import need_role
from coursework.access.sections import enrolments, student_for_staff
from coursework.models import (
    Coupon,
    Enrolment,
    Exercise,
    Photo,
    SecondLook,
    Section,
    User,
)


def coupons(user: User) -> QuerySet[Coupon]:
    """Return the coupons that the user may look at."""
    return Coupon.objects.filter(enrolment__in=enrolments(user)).select_related(
        "exercise", "enrolment__user", "section__term__school__settings", "section__plan"
    )


def live_coupons(user: User, section: Section) -> QuerySet[Coupon]:
    """Return the coupons of a section that were not withdrawn, the newest first."""
    found = coupons(user).filter(section=section).exclude(state=Coupon.State.WITHDRAWN)
    return found.order_by("-handed_in_at", "-pk")


def coupons_of(section: Section) -> QuerySet[Coupon]:
    """Return the coupons of a section that was found for its staff, along its own index."""
    return Coupon.objects.filter(section=section)


def coupon(user: User, public_id: uuid.UUID) -> Coupon:
    """Return a coupon to look at."""
    return get_object_or_404(coupons(user), public_id=public_id)


def own_coupon(user: User, public_id: uuid.UUID) -> Coupon:
    """Return a coupon for its student to correct or withdraw."""
    found = coupon(user, public_id)
    need_role(user, User.Role.STUDENT)
    return found


def coupon_to_grade(user: User, public_id: uuid.UUID) -> Coupon:
    """Return a coupon for an instructor of its section to grade."""
    found = coupon(user, public_id)
    need_role(user, User.Role.INSTRUCTOR)
    return found


def photo(user: User, public_id: uuid.UUID) -> Photo:
    """Return a photo of a coupon that the user may look at."""
    return get_object_or_404(Photo, public_id=public_id, coupon__enrolment__in=enrolments(user))


def own_exercise(user: User, pk: int) -> tuple[Enrolment, Exercise]:
    """Return the enrolment and an exercise of its plan, for a student to log a coupon of it."""
    need_role(user, User.Role.STUDENT)
    enrolment = get_object_or_404(
        enrolments(user)
        .filter(section__plan__exercises=pk, left_at=None)
        .order_by("-joined_at", "-pk")[:1]
    )
    return enrolment, get_object_or_404(Exercise, pk=pk, plan=enrolment.section.plan_id)


def exercise_to_log_for(user: User, pk: int, exercise: int) -> tuple[Enrolment, Exercise]:
    """Return a student who is in the section, and an exercise of its plan, for an instructor."""
    enrolment = student_for_staff(user, pk, User.Role.INSTRUCTOR)
    wanted = Exercise.objects.filter(plan=enrolment.section.plan_id, retired_at=None)
    if enrolment.left_at:
        raise Http404
    return enrolment, get_object_or_404(wanted, pk=exercise)


def second_look(user: User, pk: int) -> SecondLook:
    """Return a second grading for an instructor of the section who did not give the first grade.

    Raises
    ------
    PermissionDenied
        When the first grade is the user's own.
    """
    found = get_object_or_404(
        SecondLook.objects.filter(
            coupon__enrolment__in=enrolments(user), grade__undone_at=None
        ).select_related(
            "grade__rubric_version",
            "grade__grader",
            "grader",
            "coupon__exercise",
            "coupon__facts",
            "coupon__assessment",
            "coupon__enrolment__user",
            "coupon__section__term__school__settings",
            "coupon__section__plan",
        ),
        pk=pk,
    )
    need_role(user, User.Role.INSTRUCTOR)
    if found.grade.grader_id == user.pk:
        raise PermissionDenied
    return found
