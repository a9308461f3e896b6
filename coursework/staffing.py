"""Staff of a school: who is added, who teaches which section, whose access ends."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from coursework.conflicts import Conflict
from coursework.models import Enrolment, School, Section, User


class NeverAlone(Conflict):
    """Nobody ends the own access: the office could be left with nobody in it."""


def add(school: School, *, username: str, first_name: str, last_name: str, role: str) -> User:
    """Add an instructor or a coordinator, who signs in first with a code on paper."""
    user = User(
        school=school, username=username, first_name=first_name, last_name=last_name, role=role
    )
    user.set_unusable_password()
    user.save()
    return user


def end_access(user: User, *, by: User) -> None:
    """Let nobody sign in as this person any more; everything the person did stays.

    Raises
    ------
    NeverAlone
        When it is the own access.
    """
    if user.pk == by.pk:
        raise NeverAlone(_("You cannot end your own access. Another coordinator can."))
    user.is_active = False
    user.save(update_fields=["is_active"])


def give_access_back(user: User) -> None:
    """Let this person sign in again."""
    user.is_active = True
    user.save(update_fields=["is_active"])


@transaction.atomic
def set_instructors(
    section: Section, instructors: Iterable[User], *, lead: User | None, at: datetime
) -> None:
    """Say who teaches a section, and who of them leads; whoever taught it before is kept on file.

    Parameters
    ----------
    lead : User or None
        One of the instructors; settles second gradings and confirms limits.
    """
    chosen = {each.pk: each for each in instructors}
    before = {each.user_id: each for each in section.enrolments.filter(role=User.Role.INSTRUCTOR)}
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
