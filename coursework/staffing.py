"""Staff of a school: who is added, who teaches which section, whose access ends."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from coursework import audit
from coursework.conflicts import Conflict
from coursework.models import Act, Enrolment, School, Section, User


class NeverAlone(Conflict):
    """Nobody ends the own access: the office could be left with nobody in it."""


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
        When it is the own access.
    """
    if user.pk == by.pk:
        raise NeverAlone(_("You cannot end your own access. Another coordinator can."))
    _set_access(user, active=False)
    audit.record_act(by, Act.ACCESS_ENDED, user)


@transaction.atomic
def give_access_back(user: User, *, by: User) -> None:
    """Let this person sign in again."""
    _set_access(user, active=True)
    audit.record_act(by, Act.ACCESS_GIVEN_BACK, user)


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
