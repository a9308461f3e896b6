"""Joining a section with the code on its poster."""

import re
from datetime import datetime

from django.core.cache import cache
from django.db import transaction
from django.http import HttpRequest

from coursework.models import Enrolment, Section, User

TRIES_A_PERSON = 10
# A school has one address for everybody in it.
TRIES_AN_ADDRESS = 300
HOUR_S = 60 * 60


class TooManyTries(Exception):
    """So many wrong codes came from here that no further one is looked at for a while."""


def bare_code(text: str) -> str:
    """Return a code as it is stored: no spaces, no hyphens, capitals.

    >>> bare_code(" 7qk4-mb2x ")
    '7QK4MB2X'
    """
    return re.sub(r"[\s-]", "", text).upper()


def _counters(request: HttpRequest) -> tuple[tuple[str, int], ...]:
    person = request.user.pk or request.session.session_key or "nobody"
    address = request.META.get("REMOTE_ADDR", "")
    return (
        (f"join:person:{person}", TRIES_A_PERSON if person != "nobody" else TRIES_AN_ADDRESS),
        (f"join:address:{address}", TRIES_AN_ADDRESS),
    )


def section_with(request: HttpRequest, code: str) -> Section | None:
    """Return the open section with this code; a wrong one is counted.

    Raises
    ------
    TooManyTries
        After ten wrong codes of one person, or three hundred of one address, within an hour.
    """
    counters = _counters(request)
    if any(cache.get(name, 0) >= most for name, most in counters):
        raise TooManyTries
    found = Section.objects.filter(join_code=bare_code(code), joining_open=True).first()
    if found is None:
        for name, _most in counters:
            cache.add(name, 0, HOUR_S)
            cache.incr(name)
    return found


@transaction.atomic
def join(user: User, section: Section, at: datetime) -> Enrolment:
    """Enrol a student; joining a section twice changes nothing."""
    enrolment, _created = Enrolment.objects.get_or_create(
        section=section,
        user=user,
        defaults={"role": Enrolment.Role.STUDENT, "joined_at": at},
    )
    return enrolment
