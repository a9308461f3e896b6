"""What the school holds for all of its sections: terms, staff, settings, course plans, rubrics."""

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from coursework.access.roles import need_role
from coursework.access.sections import enrolments
from coursework.models import AuditRow, CoursePlan, Exercise, Rubric, SchoolSettings, Term, User


def terms(user: User) -> QuerySet[Term]:
    """Return the terms of the user's school."""
    return Term.objects.filter(school=user.school).select_related("school__settings")


def term(user: User, pk: int) -> Term:
    """Return a term for the coordinator."""
    found = get_object_or_404(terms(user), pk=pk)
    need_role(user, User.Role.COORDINATOR)
    return found


def staff(user: User) -> QuerySet[User]:
    """Return the instructors and coordinators of the user's school."""
    found = User.objects.filter(school=user.school).exclude(role=User.Role.STUDENT)
    return found.order_by("last_name", "first_name", "pk")


def staff_member(user: User, pk: int) -> User:
    """Return an instructor or coordinator of the school for the coordinator."""
    found = get_object_or_404(staff(user), pk=pk)
    need_role(user, User.Role.COORDINATOR)
    return found


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


def school_settings(user: User) -> SchoolSettings:
    """Return the settings of the user's school, with the school."""
    return get_object_or_404(SchoolSettings.objects.select_related("school"), school=user.school)


def audit_rows(user: User) -> QuerySet[AuditRow]:
    """Return what was done in the user's school, the newest first."""
    return AuditRow.objects.filter(school=user.school_id).order_by("-number")


def plans(user: User) -> QuerySet[CoursePlan]:
    """Return the course plans of the user's school."""
    return CoursePlan.objects.filter(school=user.school).order_by("code", "pk")


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


def _for_staff[Row: (CoursePlan, Exercise, Rubric)](
    user: User, found: QuerySet[Row], pk: int
) -> Row:
    row = get_object_or_404(found, pk=pk)
    need_role(user, User.Role.INSTRUCTOR, User.Role.COORDINATOR)
    return row
