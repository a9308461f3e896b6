"""A one-time code on paper, for whoever forgot the password or never had one.

Students without e-mail exist, so nothing is sent: somebody who knows the person hands a slip over.
The code is kept as a hash, works once and for a day, and only together with the user name.
"""

import hashlib
import secrets
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final

from django.contrib.auth.hashers import (
    UNUSABLE_PASSWORD_PREFIX,
    PBKDF2PasswordHasher,
    get_hasher,
    identify_hasher,
)
from django.core.cache import cache
from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from coursework import audit
from coursework.conflicts import Conflict
from coursework.joining import bare_code, spaced_code
from coursework.models import Act, SignInCode, User
from coursework.models.section import JOIN_ALPHABET

LENGTH: Final = 8
GOOD_FOR: Final = timedelta(hours=24)
# Slips for a class are printed before the first day of class.
GOOD_FOR_A_CLASS: Final = timedelta(days=7)
# A password has to hold for years, a code for a week: forty bits, hashed so often that all of them
# take months to try. Codes for a class are made in a second.
ITERATIONS: Final = 100_000
TRIES_A_NAME: Final = 10
# A school has one address for everybody in it.
TRIES_AN_ADDRESS: Final = 300
HOUR_S: Final = 60 * 60


WITHOUT_PASSWORD: Final = Q(user__password__startswith=UNUSABLE_PASSWORD_PREFIX)
"""Enrolments of those who have never chosen a password, as they come from a class list."""


class TooManyCodes(Exception):
    """So many wrong codes were tried that no further one is looked at for a while."""


class CodeIsOver(Conflict):
    """The code was used, replaced or too old by the time that the password was chosen."""


@transaction.atomic
def make(user: User, *, by: User, at: datetime) -> str:
    """Return a new code for a person; every earlier one ends. It is shown now and never again."""
    code = _new_code(user, by, at, GOOD_FOR)
    audit.record_act(by, Act.SIGN_IN_CODE_MADE, user)
    return code


@transaction.atomic
def make_for_class(users: Iterable[User], *, by: User, at: datetime) -> list[tuple[User, str]]:
    """Return each person with a new code that is good for a week, as it is printed."""
    made = [(each, spaced_code(_new_code(each, by, at, GOOD_FOR_A_CLASS))) for each in users]
    audit.record_acts(by, Act.SIGN_IN_CODE_MADE, [audit.Entry(about=each) for each, _code in made])
    return made


def _new_code(user: User, by: User, at: datetime, good_for: timedelta) -> str:
    code = "".join(secrets.choice(JOIN_ALPHABET) for _place in range(LENGTH))
    _end_all(user, at)
    SignInCode.objects.create(
        user=user, code_hash=_hash(code), made_by=by, made_at=at, expires_at=at + good_for
    )
    return code


def _end_all(user: User, at: datetime) -> None:
    open_ones = SignInCode.objects.filter(user=user, used_at=None, expires_at__gt=at)
    open_ones.update(expires_at=at)


def looks_like_one(text: str) -> bool:
    """Return whether what was typed may be a code.

    >>> looks_like_one("7qk4-mb2x"), looks_like_one("brush one way")
    (True, False)
    """
    bare = bare_code(text)
    return len(bare) == LENGTH and set(bare) <= set(JOIN_ALPHABET)


def find(username: str, code: str, *, address: str, at: datetime) -> SignInCode | None:
    """Return what a user name and a code open together now; a wrong pair is counted.

    Raises
    ------
    TooManyCodes
        After ten wrong codes for one user name, or three hundred of one address, within an hour.
    """
    name = hashlib.sha256(username.lower().encode(errors="replace")).hexdigest()
    counters = (
        (f"sign-in-code:name:{name}", TRIES_A_NAME),
        (f"sign-in-code:address:{address}", TRIES_AN_ADDRESS),
    )
    if any(cache.get(counter, 0) >= most for counter, most in counters):
        raise TooManyCodes
    if found := _match(username, bare_code(code), at):
        return found
    for counter, _most in counters:
        cache.add(counter, 0, HOUR_S)
        cache.incr(counter)
    return None


def _match(username: str, code: str, at: datetime) -> SignInCode | None:
    open_ones = SignInCode.objects.select_related("user").filter(
        user__username__iexact=username, user__is_active=True, used_at=None, expires_at__gt=at
    )
    found = open_ones.first()
    if found is None:
        # As slow as with a code, so that the time taken tells nothing about the account.
        _hash(code)
        return None
    hasher = identify_hasher(found.code_hash)
    return found if hasher.verify(code, found.code_hash) else None


def _hash(code: str) -> str:
    hasher = get_hasher()
    if isinstance(hasher, PBKDF2PasswordHasher):
        return hasher.encode(code, hasher.salt(), ITERATIONS)
    return str(hasher.encode(code, hasher.salt()))


def still_good(pk: int | None, at: datetime) -> SignInCode | None:
    """Return a code that was found before, if it can still be used."""
    if pk is None:
        return None
    return (
        SignInCode.objects.select_related("user")
        .filter(pk=pk, user__is_active=True, used_at=None, expires_at__gt=at)
        .first()
    )


@transaction.atomic
def choose_password(code: SignInCode, password: str, *, at: datetime) -> User:
    """Give the person of a code a new password; the code, and any other, is over.

    Raises
    ------
    CodeIsOver
        When the code was used or ended meanwhile.
    """
    used = SignInCode.objects.filter(pk=code.pk, used_at=None, expires_at__gt=at)
    if not used.update(used_at=at):
        raise CodeIsOver(_("This code is over. Ask your instructor or the office for another."))
    user = code.user
    user.set_password(password)
    user.save(update_fields=["password"])
    _end_all(user, at)
    audit.record_act(user, Act.PASSWORD_CHOSEN, user)
    return user
