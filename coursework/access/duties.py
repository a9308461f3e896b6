"""What a school owes its students: correction requests, the log of disclosures, holds, purges."""

from django.db.models import F, QuerySet
from django.shortcuts import get_object_or_404

from coursework.access.roles import need_role
from coursework.access.sections import enrolments
from coursework.models import CorrectionRequest, Disclosure, Enrolment, Hold, Purge, User


def correction_requests(user: User) -> QuerySet[CorrectionRequest]:
    """Return the requests that the user may look at: open ones first, the oldest of them first."""
    found = CorrectionRequest.objects.filter(enrolment__in=enrolments(user)).select_related(
        "enrolment__user",
        "enrolment__section__term__school__settings",
        "enrolment__section__plan",
        "coupon__exercise",
        "decided_by",
    )
    return found.order_by(F("decided_at").desc(nulls_first=True), "asked_at", "pk")


def correction_request(user: User, pk: int) -> CorrectionRequest:
    """Return a request for its student, or for staff."""
    return get_object_or_404(correction_requests(user), pk=pk)


def correction_request_to_decide(user: User, pk: int) -> CorrectionRequest:
    """Return a request for an instructor of the section or the coordinator."""
    found = correction_request(user, pk)
    need_role(user, User.Role.INSTRUCTOR, User.Role.COORDINATOR)
    return found


def own_correction_request(user: User, pk: int) -> CorrectionRequest:
    """Return a request for its student to answer."""
    found = correction_request(user, pk)
    need_role(user, User.Role.STUDENT)
    return found


def disclosures(user: User) -> QuerySet[Disclosure]:
    """Return the disclosures of the user's school, the newest first, for the coordinator."""
    need_role(user, User.Role.COORDINATOR)
    found = Disclosure.objects.filter(school=user.school).select_related("disclosed_by")
    return found.order_by("-disclosed_at", "-pk")


def disclosed_students(user: User) -> QuerySet[User]:
    """Return the students about whom something was disclosed, by name, for the coordinator."""
    about = Enrolment.objects.filter(disclosures__school=user.school)
    return (
        User.objects.filter(enrolments__in=about)
        .distinct()
        .order_by("last_name", "first_name", "pk")
    )


def holds(user: User) -> QuerySet[Hold]:
    """Return the holds of the user's school: those in force first, then the newest."""
    need_role(user, User.Role.COORDINATOR)
    found = Hold.objects.filter(school=user.school).select_related(
        "student", "section__plan", "section__term", "placed_by", "lifted_by"
    )
    return found.order_by(F("lifted_at").desc(nulls_first=True), "-placed_at", "-pk")


def hold(user: User, pk: int) -> Hold:
    """Return a hold of the school for the coordinator."""
    found = get_object_or_404(Hold, school=user.school, pk=pk)
    need_role(user, User.Role.COORDINATOR)
    return found


def students_of_school(user: User) -> QuerySet[User]:
    """Return the students of the user's school, by name."""
    found = User.objects.filter(school=user.school, role=User.Role.STUDENT)
    return found.order_by("last_name", "first_name", "pk")


def purges(user: User) -> QuerySet[Purge]:
    """Return the purges of the user's school, the newest first, for the coordinator."""
    need_role(user, User.Role.COORDINATOR)
    found = Purge.objects.filter(school=user.school).select_related("started_by")
    return found.order_by("-started_at", "-pk")
