"""A reader that turns decoded JSON into frozen dataclasses by their type hints.

Written for the facts and the school's rules; it knows the types that those use and no others.
"""

import json
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, fields
from datetime import datetime
from functools import cache, lru_cache
from types import NoneType, UnionType
from typing import Annotated, Any, Final, Literal, Union, get_args, get_origin, get_type_hints

type Reader = Callable[[object], Any]

_LARGEST: Final = math.inf
_MOMENT = re.compile(
    r"\d{4}-\d\d-\d\dT([01]\d|2[0-3]):[0-5]\d:[0-5]\d(\.\d+)?(Z|[+-]([01]\d|2[0-3]):[0-5]\d)",
    re.ASCII,
)


class Unreadable(ValueError):
    """What was given cannot be read; the message is one line that names the member."""

    def __init__(self, message: str) -> None:
        super().__init__("".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in message))


@dataclass(frozen=True, slots=True)
class Above:
    """The number must be larger."""

    bound: float


@dataclass(frozen=True, slots=True)
class AtLeast:
    """The number must not be smaller."""

    bound: float


@dataclass(frozen=True, slots=True)
class Items:
    """How many items a list may hold."""

    fewest: int
    most: int | None


@dataclass(frozen=True, slots=True)
class LongestText:
    """How many characters a text may hold."""

    length: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What a person typed for one member, kept as evidence."""

    text: str
    unit: str | None = None


def _shown(value: object) -> str:
    """Return the value as JSON would write it, short enough for one line."""
    if isinstance(value, dict | list):
        return "an object" if isinstance(value, dict) else "a list"
    if isinstance(value, int) and abs(value) >= 10**50:
        return "a number of more than 50 digits"
    text = json.dumps(value, ensure_ascii=False, default=repr)
    return text if len(text) <= 60 else text[:57] + "..."


class _Unfit(Exception):
    """What is wrong with a value; each level that it passes on its way out adds where it stood.

    Most coupons can be read, so no path is put together until one is needed.
    """

    def __init__(self, wrong: str) -> None:
        super().__init__(wrong)
        self.wrong = wrong
        self.path = ""

    def inside(self, step: str) -> "_Unfit":
        """Put a member's name or an item's place in front of the path."""
        joint = "." if self.path and not self.path.startswith("[") else ""
        self.path = f"{step if len(step) <= 60 else step[:57] + '...'}{joint}{self.path}"
        return self


def _refuse(wanted: str, value: object) -> _Unfit:
    return _Unfit(f"expected {wanted}, got {_shown(value)}.")


def _number(value: object) -> float:
    if type(value) is float and -_LARGEST < value < _LARGEST:
        return value
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _refuse("a number", value)
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise _refuse("a finite number", value)
    return number


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _refuse("a whole number", value)
    if not _number(value).is_integer():
        raise _refuse("a whole number", value)
    return int(value)


def _truth(value: object) -> bool:
    if not isinstance(value, bool):
        raise _refuse("true or false", value)
    return value


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise _refuse("a text", value)
    return value


def _moment(value: object) -> datetime:
    wanted = "a time with its offset, such as 2026-09-14T09:00:00-05:00"
    text = _text(value)
    # Python reads more ways to write a time than RFC 3339, which the schema asks for.
    if not _MOMENT.fullmatch(text):
        raise _refuse(wanted, value)
    try:
        return datetime.fromisoformat(text)
    except ValueError as error:
        raise _refuse(wanted, value) from error


def _one_of(choices: tuple[str, ...]) -> Reader:
    allowed = frozenset(choices)

    def read(value: object) -> str:
        if not isinstance(value, str) or value not in allowed:
            raise _refuse(f"one of {', '.join(choices)}", value)
        return value

    return read


def _list_of(item: Reader) -> Reader:
    def read(value: object) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise _refuse("a list", value)
        found = []
        for place, each in enumerate(value):
            try:
                found.append(item(each))
            except _Unfit as wrong:
                raise wrong.inside(f"[{place}]") from None
        return tuple(found)

    return read


def _map_of(item: Reader) -> Reader:
    def read(value: object) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise _refuse("an object", value)
        found = {}
        for name, each in value.items():
            try:
                found[name] = item(each)
            except _Unfit as wrong:
                raise wrong.inside(str(name)) from None
        return found

    return read


def _breach(bound: object, found: Any, value: object) -> _Unfit | None:
    """Return what is wrong where a value lies outside a bound."""
    match bound:
        case Above(bound=low) if found <= low:
            return _refuse(f"a number above {low:g}", value)
        case AtLeast(bound=low) if found < low:
            return _refuse(f"{low:g} or more", value)
        case LongestText(length=length) if len(found) > length:
            return _refuse(f"at most {length} characters", value)
        case Items(fewest=fewest, most=most):
            if len(found) < fewest or (most is not None and len(found) > most):
                wanted = f"{fewest} to {most} items" if most else f"{fewest} items or more"
                return _Unfit(f"expected {wanted}, got {len(found)}.")
    return None


def _bounded(inner: Reader, bounds: tuple[object, ...]) -> Reader:
    def read(value: object) -> Any:
        found = inner(value)
        for bound in bounds:
            if wrong := _breach(bound, found, value):
                raise wrong
        return found

    return read


def _part_of(kind: type) -> Reader:
    """Return the reader of an object inside another one.

    A class has the same metals, fillers and tools in hand all day, so an object that was read
    before is not read again. Python takes 1 and true for the same key; the types tell them apart.
    """

    @lru_cache(maxsize=4096)
    def known(members: tuple[tuple[str, Any], ...], _types: tuple[type, ...]) -> Any:
        return _object(kind, dict(members), {})

    def read(value: object) -> Any:
        if not isinstance(value, dict):
            raise _refuse("an object", value)
        try:
            return known(tuple(value.items()), tuple(map(type, value.values())))
        except TypeError:  # a list or an object among its members cannot be looked up
            return _object(kind, value, {})

    return read


def _reader(hint: Any) -> Reader:
    """Return the reader for one type hint; ``None`` in a union only says that it may be absent."""
    plain: dict[Any, Reader] = {
        float: _number,
        int: _whole,
        bool: _truth,
        str: _text,
        datetime: _moment,
    }
    if hint in plain:
        return plain[hint]
    origin, arguments = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        return _reader(next(each for each in arguments if each is not NoneType))
    if origin is Annotated:
        return _bounded(_reader(arguments[0]), arguments[1:])
    if origin is Literal:
        return _one_of(arguments)
    if origin is tuple:
        return _list_of(_reader(arguments[0]))
    if origin is dict:
        return _map_of(_reader(arguments[1]))
    return _part_of(hint)


@cache
def _members(kind: type) -> tuple[dict[str, Reader], tuple[str, ...]]:
    """Return the reader of each member of a dataclass, and the members that must be there."""
    hints = get_type_hints(kind, include_extras=True)
    readers = {each.name: _reader(hints[each.name]) for each in fields(kind)}
    required = tuple(each.name for each in fields(kind) if each.default is MISSING)
    return readers, required


def read_members[Kind](
    kind: type[Kind],
    document: object,
    *,
    path: str = "",
    stated_none: Mapping[str, object] | None = None,
) -> Kind:
    """Build a dataclass from a JSON object, checking every member against its type hint.

    Parameters
    ----------
    kind : type
        A dataclass whose hints use float, int, bool, str, datetime, Literal, tuple, dict,
        Annotated bounds, nested dataclasses and ``| None`` for what may be absent.
    document : object
        The decoded JSON value.
    path : str
        Where the object stands, for the message.
    stated_none : mapping
        Members for which a JSON null is an answer, and the value that stands for it.

    Raises
    ------
    Unreadable
        When a member is unknown, missing or of the wrong kind.
    """
    try:
        return _object(kind, document, stated_none or {})
    except _Unfit as wrong:
        where = wrong.inside(path).path if path else wrong.path
        raise Unreadable(f"{where or 'coupon'}: {wrong.wrong}") from None


def _object[Kind](kind: type[Kind], document: object, stated_none: Mapping[str, object]) -> Kind:
    if not isinstance(document, dict):
        raise _refuse("an object", document)
    readers, required = _members(kind)  # type: ignore[arg-type]  # a class is hashable
    for name in required:
        if name not in document:
            raise _Unfit("this member is missing.").inside(name)
    values: dict[str, Any] = {}
    for name, value in document.items():
        reader = readers.get(name)
        if reader is None:
            raise _Unfit("no such member; check the spelling.").inside(str(name))
        if value is None and name in stated_none:
            values[name] = stated_none[name]
            continue
        try:
            values[name] = reader(value)
        except _Unfit as wrong:
            raise wrong.inside(name) from None
    return kind(**values)
