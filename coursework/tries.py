"""Wrong tries of codes, counted for an hour by person and by address."""

from collections.abc import Iterable
from typing import Final

from django.core.cache import cache
from django.http import HttpRequest

HOUR_S: Final = 60 * 60

type Counter = tuple[str, int]
"""The name of a counter, and how many tries it lets through."""


def counters(
    request: HttpRequest, what: str, *, a_person: int, an_address: int
) -> tuple[Counter, ...]:
    """Return the counters of a visitor: the own one, and that of the address, shared by a school.

    Who has neither signed in nor a session is known by the address alone.
    """
    person = request.user.pk or request.session.session_key or "nobody"
    address = request.META.get("REMOTE_ADDR", "")
    return (
        (f"{what}:person:{person}", a_person if person != "nobody" else an_address),
        (f"{what}:address:{address}", an_address),
    )


def used_up(kept: Iterable[Counter]) -> bool:
    """Return whether one of the counters lets nothing through for a while."""
    return any(cache.get(name, 0) >= most for name, most in kept)


def count(kept: Iterable[Counter]) -> None:
    """Count a wrong try."""
    for name, _most in kept:
        cache.add(name, 0, HOUR_S)
        cache.incr(name)
