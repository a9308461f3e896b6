"""A reader that turns decoded JSON into frozen dataclasses by their type hints.

Written for the facts and the school's rules; it knows the types that those use and no others.
"""

import json
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, fields
from datetime import datetime
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

type Reader = Callable[[object, str], Any]

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


def _refuse(path: str, wanted: str, value: object) -> Unreadable:
    return Unreadable(f"{path or 'coupon'}: expected {wanted}, got {_shown(value)}.")


def _number(value: object, path: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _refuse(path, "a number", value)
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise _refuse(path, "a finite number", value)
    return number


def _whole(value: object, path: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _refuse(path, "a whole number", value)
    if not _number(value, path).is_integer():
        raise _refuse(path, "a whole number", value)
    return int(value)


def _truth(value: object, path: str) -> bool:
    if not isinstance(value, bool):
        raise _refuse(path, "true or false", value)
    return value


def _text(value: object, path: str) -> str:
    if not isinstance(value, str):
        raise _refuse(path, "a text", value)
    return value


def _moment(value: object, path: str) -> datetime:
    wanted = "a time with its offset, such as 2026-09-14T09:00:00-05:00"
    text = _text(value, path)
    # Python reads more ways to write a time than RFC 3339, which the schema asks for.
    if not _MOMENT.fullmatch(text):
        raise _refuse(path, wanted, value)
    try:
        return datetime.fromisoformat(text)
    except ValueError as error:
        raise _refuse(path, wanted, value) from error


def _one_of(choices: tuple[str, ...]) -> Reader:
    allowed = frozenset(choices)

    def read(value: object, path: str) -> str:
        if not isinstance(value, str) or value not in allowed:
            raise _refuse(path, f"one of {', '.join(choices)}", value)
        return value

    return read


def _list_of(item: Reader) -> Reader:
    def read(value: object, path: str) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise _refuse(path, "a list", value)
        return tuple(item(each, f"{path}[{place}]") for place, each in enumerate(value))

    return read


def _map_of(item: Reader) -> Reader:
    def read(value: object, path: str) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise _refuse(path, "an object", value)
        return {name: item(each, f"{path}.{name}") for name, each in value.items()}

    return read


def _bounded(inner: Reader, bounds: tuple[object, ...]) -> Reader:
    def read(value: object, path: str) -> Any:
        found = inner(value, path)
        for bound in bounds:
            match bound:
                case Above(bound=low) if found <= low:
                    raise _refuse(path, f"a number above {low:g}", value)
                case AtLeast(bound=low) if found < low:
                    raise _refuse(path, f"{low:g} or more", value)
                case LongestText(length=length) if len(found) > length:
                    raise _refuse(path, f"at most {length} characters", value)
                case Items(fewest=fewest, most=most) if len(found) < fewest or (
                    most is not None and len(found) > most
                ):
                    wanted = f"{fewest} to {most} items" if most else f"{fewest} items or more"
                    raise Unreadable(f"{path}: expected {wanted}, got {len(found)}.")
        return found

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
    return lambda value, path: read_members(hint, value, path=path)


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
    if not isinstance(document, dict):
        raise _refuse(path, "an object", document)
    readers, required = _members(kind)  # type: ignore[arg-type]  # a class is hashable
    for name in required:
        if name not in document:
            raise Unreadable(f"{path + '.' if path else ''}{name}: this member is missing.")
    values: dict[str, Any] = {}
    for name, value in document.items():
        where = f"{path}.{name}" if path else str(name)
        reader = readers.get(name)
        if reader is None:
            raise Unreadable(f"{where}: no such member; check the spelling.")
        if value is None and stated_none and name in stated_none:
            values[name] = stated_none[name]
        else:
            values[name] = reader(value, where)
    return kind(**values)
