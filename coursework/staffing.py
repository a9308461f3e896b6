"""Staff of a school: who is added, who teaches which section, whose access ends."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from coursework import audit
from coursework.conflicts import Conflict
from coursework.models import Act, Enrolment, School, Section, User


class NeverAlone(Conflict):
    """The office would be left with nobody in it."""


class StillTeaches(Conflict):
    """Who teaches a section is an instructor."""


@transaction.atomic
def add(
    school: School,
    *,
    username: str,
    first_name: str,
    last_name: str,
    role: str,
    by: User | None,
) -> User:
    """Add an instructor or a coordinator, who signs in first with a code on paper."""
    user = User(
        school=school, username=username, first_name=first_name, last_name=last_name, role=role
    )
    user.set_unusable_password()
    user.save()
    audit.record_act(by, Act.STAFF_ADDED, user, after={"username": username, "role": role})
    return user


@transaction.atomic
def end_access(user: User, *, by: User) -> None:
    """Let nobody sign in as this person any more; everything the person did stays.

    Raises
    ------
    NeverAlone
        When it is the own access, or that of the last coordinator.
    """
    if user.pk == by.pk:
        raise NeverAlone(_("You cannot end your own access. Another coordinator can."))
    _need_another_coordinator(user)
    _set_access(user, active=False)
    audit.record_act(by, Act.ACCESS_ENDED, user)


@transaction.atomic
def give_access_back(user: User, *, by: User) -> None:
    """Let this person sign in again."""
    _set_access(user, active=True)
    audit.record_act(by, Act.ACCESS_GIVEN_BACK, user)


@transaction.atomic
def change_role(user: User, role: str, *, by: User) -> None:
    """Make an instructor a coordinator, or the other way round.

    Raises
    ------
    NeverAlone
        When it is the last coordinator of the school who can sign in.
    StillTeaches
        When the instructor teaches a section of a term that is open.
    ValueError
        When the person is a student, or is to be one.
    """
    if User.Role.STUDENT in {user.role, role} or role not in User.Role.values:
        raise ValueError("Only instructors and coordinators change roles.")
    if role == user.role:
        return
    _need_another_coordinator(user)
    teaching = Section.objects.filter(
        term__closed_at=None, enrolments__in=user.enrolments.filter(left_at=None)
    )
    if named := ", ".join(str(each) for each in teaching.select_related("plan")):
        raise StillTeaches(
            _("%(who)s teaches %(sections)s. Say first who teaches there, then change the role.")
            % {"who": user, "sections": named}
        )
    was, user.role = user.role, role
    user.save(update_fields=["role"])
    audit.record_act(by, Act.ROLE_CHANGED, user, before={"role": was}, after={"role": role})


def _need_another_coordinator(user: User) -> None:
    """Refuse to lose the last coordinator who can sign in; the school stays locked meanwhile."""
    if not user.is_coordinator:
        return
    school = School.objects.select_for_update().get(pk=user.school_id or 0)
    left = school.people.filter(role=User.Role.COORDINATOR, is_active=True).exclude(pk=user.pk)
    if not left.exists():
        raise NeverAlone(
            _("%(who)s is the last coordinator. Make somebody else a coordinator first.")
            % {"who": user}
        )


def _set_access(user: User, *, active: bool) -> None:
    user.is_active = active
    user.save(update_fields=["is_active"])


@transaction.atomic
def set_instructors(
    section: Section,
    instructors: Iterable[User],
    *,
    lead: User | None,
    by: User | None,
    at: datetime,
) -> None:
    """Say who teaches a section, and who of them leads; whoever taught it before is kept on file.

    Parameters
    ----------
    lead : User or None
        One of the instructors; settles second gradings and confirms limits.
    """
    chosen = {each.pk: each for each in instructors}
    teaching = section.enrolments.filter(role=User.Role.INSTRUCTOR).select_related("user")
    before = {each.user_id: each for each in teaching.order_by("user__last_name", "pk")}
    was = _told((each.user, each.lead) for each in before.values() if not each.left_at)
    for pk in chosen.keys() - before.keys():
        Enrolment.objects.create(
            section=section,
            user=chosen[pk],
            role=Enrolment.Role.INSTRUCTOR,
            joined_at=at,
            lead=lead is not None and pk == lead.pk,
        )
    for pk, enrolment in before.items():
        enrolment.left_at = None if pk in chosen else enrolment.left_at or at
        enrolment.lead = pk in chosen and lead is not None and pk == lead.pk
        enrolment.save(update_fields=["left_at", "lead"])
    now = _told((each, each == lead) for each in chosen.values())
    audit.record_change(by, Act.SECTION_STAFF_CHANGED, section, before=was, after=now)


def _told(teaching: Iterable[tuple[User, bool]]) -> dict[str, object]:
    """Return who teaches, and who of them leads, by user name."""
    rows = sorted((user.username, leads) for user, leads in teaching)
    return {
        "instructors": [name for name, _leads in rows],
        "lead": next((name for name, leads in rows if leads), None),
    }
