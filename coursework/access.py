"""Who may see and do what. Every query of a view starts here and nowhere else.

What is not yours does not exist for you (404). What is yours, but asks for another role, is
refused (403). A student sees the own coupons, an instructor those of the sections taught, a
coordinator everything of the school.
"""

import uuid
from collections.abc import Callable, Iterable
from functools import wraps
from typing import cast

from django.core.exceptions import PermissionDenied
from django.db.models import F, QuerySet
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import get_object_or_404

from coursework.models import (
    Coupon,
    CoursePlan,
    Enrolment,
    Exercise,
    IssuedRecord,
    Photo,
    Rubric,
    SchoolSettings,
    SecondLook,
    Section,
    Term,
    User,
)

# What is left comes after what is not, the newest of each first.
NOW_FIRST = (F("left_at").desc(nulls_first=True), "-joined_at", "-pk")

type View = Callable[..., HttpResponseBase]


def person(request: HttpRequest) -> User:
    """Return who is signed in; only for views that ask for a sign-in."""
    return cast("User", request.user)


def only(*roles: str) -> Callable[[View], View]:
    """Let only these roles into a view: ``student``, ``instructor``, ``coordinator``."""

    def wrap(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponseBase:
            if person(request).role not in roles:
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return guarded

    return wrap


def need_role(user: User, *roles: str) -> None:
    """Refuse what is the user's to see but not to do.

    Raises
    ------
    PermissionDenied
        When the user's role is none of these.
    """
    if user.role not in roles:
        raise PermissionDenied


def keys(texts: Iterable[str]) -> list[int]:
    """Return the keys of rows that a page sent, without what cannot be one."""
    return [int(each) for each in texts if each.isascii() and each.isdigit() and len(each) < 19]


def sections(user: User) -> QuerySet[Section]:
    """Return the sections that the user learns in, teaches or coordinates."""
    found = Section.objects.select_related("term__school__settings", "plan")
    if user.is_coordinator:
        return found.filter(term__school=user.school)
    return found.filter(
        enrolments__user=user,
        enrolments__role=user.role,
        enrolments__waits_for_approval=False,
        enrolments__left_at=None,
    )


def enrolments(user: User) -> QuerySet[Enrolment]:
    """Return the students' enrolments that the user may look at, of those who left too.

    Who waits for approval and was never in a section is not among them; see :func:`roster`.
    """
    found = (
        Enrolment.objects.filter(role=Enrolment.Role.STUDENT)
        .exclude(waits_for_approval=True, left_at=None)
        .select_related("user", "section__term__school__settings", "section__plan")
    )
    if user.is_student:
        return found.filter(user=user)
    return found.filter(section__in=sections(user))


def coupons(user: User) -> QuerySet[Coupon]:
    """Return the coupons that the user may look at."""
    return Coupon.objects.filter(enrolment__in=enrolments(user)).select_related(
        "exercise", "enrolment__user", "section__term__school__settings", "section__plan"
    )


def live_coupons(user: User, section: Section) -> QuerySet[Coupon]:
    """Return the coupons of a section that were not withdrawn, the newest first."""
    found = coupons(user).filter(section=section).exclude(state=Coupon.State.WITHDRAWN)
    return found.order_by("-handed_in_at", "-pk")


def own_enrolment(user: User) -> Enrolment | None:
    """Return the enrolment in which a student works now, else the last one that was left."""
    need_role(user, User.Role.STUDENT)
    return enrolments(user).order_by(*NOW_FIRST).first()


def own_places(user: User) -> QuerySet[Enrolment]:
    """Return all enrolments of a student: in, waiting for approval, and left."""
    need_role(user, User.Role.STUDENT)
    return (
        Enrolment.objects.filter(user=user, role=Enrolment.Role.STUDENT)
        .select_related("section__term", "section__plan")
        .order_by(*NOW_FIRST)
    )


def own_exercise(user: User, pk: int) -> tuple[Enrolment, Exercise]:
    """Return the enrolment and an exercise of its plan, for a student to log a coupon of it."""
    need_role(user, User.Role.STUDENT)
    enrolment = get_object_or_404(
        enrolments(user)
        .filter(section__plan__exercises=pk, left_at=None)
        .order_by("-joined_at", "-pk")[:1]
    )
    return enrolment, get_object_or_404(Exercise, pk=pk, plan=enrolment.section.plan_id)


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


def section_for_staff(user: User, pk: int, *roles: str) -> Section:
    """Return a section for its instructors and the coordinator, or only for the roles given."""
    found = get_object_or_404(sections(user), pk=pk)
    need_role(user, *(roles or (User.Role.INSTRUCTOR, User.Role.COORDINATOR)))
    return found


def coupons_of(section: Section) -> QuerySet[Coupon]:
    """Return the coupons of a section that was found for its staff, along its own index."""
    return Coupon.objects.filter(section=section)


def students_of(section: Section) -> list[Enrolment]:
    """Return who learns in a section that was found for its staff, by name."""
    here = Enrolment.objects.filter(
        section=section, role=Enrolment.Role.STUDENT, waits_for_approval=False, left_at=None
    )
    named = [f"user__{name}" for name in ("first_name", "last_name", "username", "student_number")]
    found = list(
        here.select_related("user")
        .only("section", "joined_at", *named)
        .order_by("user__last_name", "user__first_name", "pk")
    )
    for each in found:
        each.section = section
    return found


def lead_of(section: Section) -> User | None:
    """Return the lead instructor of a section that was found for its staff."""
    lead = section.enrolments.filter(lead=True, left_at=None).select_related("user").first()
    return lead.user if lead else None


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


def roster(user: User, pk: int) -> tuple[Section, QuerySet[Enrolment]]:
    """Return a section for its staff, with every student: in, waiting for approval, and left."""
    section = section_for_staff(user, pk)
    students = Enrolment.objects.filter(section=section, role=Enrolment.Role.STUDENT)
    return section, students.select_related("user").order_by(
        "user__last_name", "user__first_name", "pk"
    )


def student_for_staff(user: User, pk: int, *roles: str) -> Enrolment:
    """Return a student's enrolment for staff, or only for the roles given."""
    found = get_object_or_404(enrolments(user), pk=pk)
    need_role(user, *(roles or (User.Role.INSTRUCTOR, User.Role.COORDINATOR)))
    return found


def labelled_student(user: User, pk: int) -> Enrolment:
    """Return the enrolment that a printed label names, for the student or for staff."""
    return get_object_or_404(enrolments(user), pk=pk)


def issued_record(user: User, code: str) -> IssuedRecord:
    """Return an issued record for the student it is about, or for staff."""
    found = IssuedRecord.objects.filter(enrolment__in=enrolments(user))
    return get_object_or_404(
        found.select_related(
            "enrolment__user", "enrolment__section__term__school", "enrolment__section__plan"
        ),
        code=code,
    )


def photo(user: User, public_id: uuid.UUID) -> Photo:
    """Return a photo of a coupon that the user may look at."""
    return get_object_or_404(Photo, public_id=public_id, coupon__enrolment__in=enrolments(user))


# --- the office


def terms(user: User) -> QuerySet[Term]:
    """Return the terms of the user's school."""
    return Term.objects.filter(school=user.school).select_related("school__settings")


def term(user: User, pk: int) -> Term:
    """Return a term for the coordinator."""
    found = get_object_or_404(terms(user), pk=pk)
    need_role(user, User.Role.COORDINATOR)
    return found


def plans(user: User) -> QuerySet[CoursePlan]:
    """Return the course plans of the user's school."""
    return CoursePlan.objects.filter(school=user.school).order_by("code", "pk")


def staff(user: User) -> QuerySet[User]:
    """Return the instructors and coordinators of the user's school."""
    found = User.objects.filter(school=user.school).exclude(role=User.Role.STUDENT)
    return found.order_by("last_name", "first_name", "pk")


def staff_member(user: User, pk: int) -> User:
    """Return an instructor or coordinator of the school for the coordinator."""
    found = get_object_or_404(staff(user), pk=pk)
    need_role(user, User.Role.COORDINATOR)
    return found


def school_settings(user: User) -> SchoolSettings:
    """Return the settings of the user's school, with the school."""
    return get_object_or_404(SchoolSettings.objects.select_related("school"), school=user.school)


def leads(user: User) -> bool:
    """Return whether the user is a lead instructor of some section."""
    return Enrolment.objects.filter(user=user, lead=True, left_at=None).exists()


def person_to_sign_in(user: User, pk: int) -> User:
    """Return whom the user may give a sign-in code: an instructor the own students."""
    found = User.objects.filter(school=user.school)
    if user.is_student:
        found = found.filter(pk=user.pk)
    elif user.is_instructor:
        own = enrolments(user).filter(left_at=None)
        found = found.filter(role=User.Role.STUDENT, enrolments__in=own).distinct()
    person_found = get_object_or_404(found, pk=pk)
    need_role(user, User.Role.INSTRUCTOR, User.Role.COORDINATOR)
    return person_found


def sections_beside(enrolment: Enrolment) -> QuerySet[Section]:
    """Return the other sections of the same term and plan."""
    here = enrolment.section
    beside = Section.objects.filter(term=here.term_id, plan=here.plan_id).exclude(pk=here.pk)
    return beside.select_related("plan", "term").order_by("name", "pk")


def exercise_to_log_for(user: User, pk: int, exercise: int) -> tuple[Enrolment, Exercise]:
    """Return a student who is in the section, and an exercise of its plan, for an instructor."""
    enrolment = student_for_staff(user, pk, User.Role.INSTRUCTOR)
    wanted = Exercise.objects.filter(plan=enrolment.section.plan_id, retired_at=None)
    if enrolment.left_at:
        raise Http404
    return enrolment, get_object_or_404(wanted, pk=exercise)


# --- course plans and rubrics: the school's, for all of its staff


def _for_staff[Row: (CoursePlan, Exercise, Rubric)](
    user: User, found: QuerySet[Row], pk: int
) -> Row:
    row = get_object_or_404(found, pk=pk)
    need_role(user, User.Role.INSTRUCTOR, User.Role.COORDINATOR)
    return row


def plan(user: User, pk: int) -> CoursePlan:
    """Return a course plan of the school for staff."""
    return _for_staff(user, plans(user), pk)


def exercise_of_plan(user: User, pk: int) -> Exercise:
    """Return an exercise of the school's plans, a retired one too, for staff."""
    found = Exercise.objects.filter(plan__school=user.school).select_related("plan")
    return _for_staff(user, found.prefetch_related("windows"), pk)


def rubrics(user: User) -> QuerySet[Rubric]:
    """Return the rubrics of the user's school."""
    return Rubric.objects.filter(school=user.school).order_by("title", "pk")


def rubric(user: User, pk: int) -> Rubric:
    """Return a rubric of the school for staff."""
    return _for_staff(user, rubrics(user), pk)
