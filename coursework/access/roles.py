"""Who is signed in, and which roles a view lets in."""

from collections.abc import Callable, Iterable
from functools import wraps
from typing import cast

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase

from coursework.models import User

type View = Callable[..., HttpResponseBase]


def person(request: HttpRequest) -> User:
    """Return who is signed in; only for views that ask for a sign-in."""
    return cast("User", request.user)


def only(*roles: str) -> Callable[[View], View]:
    """Let only these roles into a view: ``student``, ``instructor``, ``coordinator``."""

    def wrap(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponseBase:
            if person(request).role not in roles:
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return guarded

    return wrap


def need_role(user: User, *roles: str) -> None:
    """Refuse what is the user's to see but not to do.

    Raises
    ------
    PermissionDenied
        When the user's role is none of these.
    """
    if user.role not in roles:
        raise PermissionDenied


def keys(texts: Iterable[str]) -> list[int]:
    """Return the keys of rows that a page sent, without what cannot be one."""
    return [int(each) for each in texts if each.isascii() and each.isdigit() and len(each) < 19]
