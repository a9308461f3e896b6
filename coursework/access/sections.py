"""Sections, and who learns and teaches in them."""

from django.db.models import F, QuerySet
from django.shortcuts import get_object_or_404

from coursework.access.roles import need_role
from coursework.models import Enrolment, Section, User

NOW_FIRST = (F("left_at").desc(nulls_first=True), "-joined_at", "-pk")


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


def section_for_staff(user: User, pk: int, *roles: str) -> Section:
    """Return a section for its instructors and the coordinator, or only for the roles given."""
    found = get_object_or_404(sections(user), pk=pk)
    need_role(user, *(roles or (User.Role.INSTRUCTOR, User.Role.COORDINATOR)))
    return found


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


def students_ever_of(section: Section) -> QuerySet[Enrolment]:
    """Return who learns or learned in a section that was found for its staff, by name."""
    return (
        Enrolment.objects.filter(section=section, role=Enrolment.Role.STUDENT)
        .exclude(waits_for_approval=True, left_at=None)
        .select_related("user", "section__term__school__settings", "section__plan")
        .order_by("user__last_name", "user__first_name", "pk")
    )


def teachers_of(section: Section) -> QuerySet[Enrolment]:
    """Return who teaches a section that was found for its staff, by name."""
    return (
        Enrolment.objects.filter(section=section, left_at=None)
        .exclude(role=Enrolment.Role.STUDENT)
        .select_related("user")
        .order_by("user__last_name", "user__first_name", "pk")
    )


def lead_of(section: Section) -> User | None:
    """Return the lead instructor of a section that was found for its staff."""
    lead = section.enrolments.filter(lead=True, left_at=None).select_related("user").first()
    return lead.user if lead else None


def leads(user: User) -> bool:
    """Return whether the user is a lead instructor of some section."""
    return Enrolment.objects.filter(user=user, lead=True, left_at=None).exists()


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


def sections_beside(enrolment: Enrolment) -> QuerySet[Section]:
    """Return the other sections of the same term and plan."""
    here = enrolment.section
    beside = Section.objects.filter(term=here.term_id, plan=here.plan_id).exclude(pk=here.pk)
    return beside.select_related("plan", "term").order_by("name", "pk")
