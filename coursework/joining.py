"""Joining a section with the code on its poster, and who may come in."""

import re
from collections.abc import Iterable
from datetime import date, datetime, timedelta

from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.db import transaction
from django.db.models import Q, QuerySet
from django.http import HttpRequest
from django.utils import timezone

from coursework import audit, terms, tries
from coursework.models import Act, Enrolment, Section, User
from coursework.models.section import new_join_code
from coursework.roster import same

TRIES_A_PERSON = 10
# A school has one address for everybody in it.
TRIES_AN_ADDRESS = 300
JOINING = ("joining_open", "join_code_expires_at", "joining_needs_approval")


class TooManyTries(Exception):
    """So many wrong codes came from here that no further one is looked at for a while."""


def bare_code(text: str) -> str:
    """Return a code as it is stored: no spaces, no hyphens, capitals.

    >>> bare_code(" 7qk4-mb2x ")
    '7QK4MB2X'
    """
    return re.sub(r"[\s-]", "", text).upper()


def spaced_code(code: str) -> str:
    """Return a code as it is printed, in two halves.

    >>> spaced_code("7QK4MB2X")
    '7QK4-MB2X'
    """
    return f"{code[:4]}-{code[4:]}"


def is_open(section: Section, now: datetime) -> bool:
    """Return whether the code of a section, with its term at hand, opens it now."""
    ends = section.join_code_expires_at
    return section.joining_open and not section.term.closed_at and (ends is None or ends > now)


def last_day(section: Section) -> date | None:
    """Return the last day on which the code works, in the zone of the school, where there is one.

    The section has its term, school and settings at hand.
    """
    ends = section.join_code_expires_at
    zone = section.term.school.settings.zone
    return (ends - timedelta(seconds=1)).astimezone(zone).date() if ends else None


def section_with(request: HttpRequest, code: str) -> Section | None:
    """Return the section that this code opens now; a wrong one is counted.

    Raises
    ------
    TooManyTries
        After ten wrong codes of one person, or three hundred of one address, within an hour.
    """
    counters = tries.counters(request, "join", a_person=TRIES_A_PERSON, an_address=TRIES_AN_ADDRESS)
    if tries.used_up(counters):
        raise TooManyTries
    found = Section.objects.select_related("term").filter(join_code=bare_code(code)).first()
    if found and is_open(found, timezone.now()):
        return found
    tries.count(counters)
    return None


@transaction.atomic
def join(user: User, section: Section, at: datetime) -> Enrolment:
    """Enrol a student, who waits where the section wants that; joining twice changes nothing.

    Who has left comes back only with an instructor's approval. So does whoever has the name of a
    student of the class list who has no password yet: it may be a second account of one person.
    """
    enrolment, created = Enrolment.objects.get_or_create(
        section=section,
        user=user,
        defaults={
            "role": Enrolment.Role.STUDENT,
            "joined_at": at,
            "waits_for_approval": section.joining_needs_approval or _may_be_listed(user, section),
        },
    )
    if not created and enrolment.left_at and not enrolment.waits_for_approval:
        enrolment.waits_for_approval = True
        enrolment.save(update_fields=["waits_for_approval"])
    return enrolment


def _may_be_listed(user: User, section: Section) -> bool:
    listed = Enrolment.objects.filter(
        section=section,
        role=Enrolment.Role.STUDENT,
        left_at=None,
        user__password__startswith=UNUSABLE_PASSWORD_PREFIX,
    ).exclude(user=user)
    names = listed.values_list("user__last_name", "user__first_name")
    own = same(user.last_name), same(user.first_name)
    return any((same(last), same(first)) == own for last, first in names)


def _waiting(section: Section, enrolments: Iterable[int]) -> Q:
    return Q(section=section, pk__in=list(enrolments), waits_for_approval=True)


@transaction.atomic
def let_in(section: Section, enrolments: Iterable[int], *, by: User | None) -> int:
    """Let students who wait into the section, and return how many.

    Raises
    ------
    ClosedTerm
        When the term of the section, which is at hand, is closed.
    """
    terms.need_open(section.term)
    waiting = Enrolment.objects.filter(_waiting(section, enrolments))
    entries = _decided(waiting, "let in")
    count = waiting.update(waits_for_approval=False, left_at=None)
    audit.record_acts(by, Act.JOIN_REQUEST_DECIDED, entries)
    return count


def _decided(waiting: QuerySet[Enrolment], decision: str) -> list[audit.Entry]:
    """Return what is told of each request, by the name that is gone where it is declined."""
    named = waiting.select_related("user", "section__plan")
    return [audit.Entry(about=audit.about(each), after={"decision": decision}) for each in named]


@transaction.atomic
def decline(section: Section, enrolments: Iterable[int], *, by: User | None) -> int:
    """Turn students who wait away, and return how many.

    Who was in the section before has left it as before; of who never was, nothing is kept.
    """
    waiting = Enrolment.objects.filter(_waiting(section, enrolments))
    entries = _decided(waiting, "declined")
    before = waiting.filter(left_at__isnull=False).update(waits_for_approval=False)
    _all, by_table = waiting.filter(left_at=None).delete()
    audit.record_acts(by, Act.JOIN_REQUEST_DECIDED, entries)
    return before + by_table.get("coursework.Enrolment", 0)


@transaction.atomic
def set_joining(
    section: Section,
    *,
    is_open: bool,
    ends_at: datetime | None,
    needs_approval: bool,
    by: User | None,
) -> None:
    """Open or close joining by code, say until when, and whether who joins has to wait."""
    before = {name: getattr(section, name) for name in JOINING}
    section.joining_open, section.join_code_expires_at = is_open, ends_at
    section.joining_needs_approval = needs_approval
    section.save(update_fields=JOINING)
    after = {name: getattr(section, name) for name in JOINING}
    audit.record_change(by, Act.JOINING_CHANGED, section, before=before, after=after)


@transaction.atomic
def renew_code(section: Section, *, by: User | None) -> None:
    """Give a section another join code; the one on posters so far opens nothing any more."""
    section.join_code = new_join_code()
    section.save(update_fields=["join_code"])
    audit.record_act(by, Act.JOIN_CODE_RENEWED, section)
