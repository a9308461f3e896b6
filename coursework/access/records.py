"""Records as they were issued, of students and of sections."""

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from coursework.access.roles import need_role
from coursework.access.sections import enrolments, sections
from coursework.models import IssuedRecord, IssuedSectionRecord, User


def issued_record(user: User, code: str) -> IssuedRecord:
    """Return an issued record for the student it is about, or for staff."""
    found = IssuedRecord.objects.filter(enrolment__in=enrolments(user))
    return get_object_or_404(
        found.select_related(
            "withdrawn_by",
            "enrolment__user",
            "enrolment__section__term__school__settings",
            "enrolment__section__plan",
        ),
        code=code,
    )


def issued_record_for_staff(user: User, code: str) -> IssuedRecord:
    """Return an issued record for staff of its section."""
    found = issued_record(user, code)
    need_role(user, User.Role.INSTRUCTOR, User.Role.COORDINATOR)
    return found


def section_record(user: User, code: str) -> IssuedSectionRecord:
    """Return the issued record of a section for its staff."""
    found = IssuedSectionRecord.objects.filter(section__in=sections(user))
    record = get_object_or_404(
        found.select_related("withdrawn_by", "section__term__school__settings", "section__plan"),
        code=code,
    )
    need_role(user, User.Role.INSTRUCTOR, User.Role.COORDINATOR)
    return record


def issued_by_code(code: str) -> IssuedRecord | IssuedSectionRecord | None:
    """Return what goes by a code, for anybody who holds a print of it; its master comes later.

    Whoever calls this tells nothing of it to who does not know the fingerprint too.
    """
    kinds: tuple[QuerySet[IssuedRecord] | QuerySet[IssuedSectionRecord], ...] = (
        IssuedRecord.objects.select_related("enrolment__section__term__school__settings"),
        IssuedSectionRecord.objects.select_related("section__term__school__settings"),
    )
    found = (kind.defer("master").filter(code=code).first() for kind in kinds)
    return next((each for each in found if each), None)
