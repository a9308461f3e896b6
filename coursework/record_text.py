"""Plain values as a master text and back: canonical JSON, times in UTC."""

import hashlib
import json
import types
import typing
from dataclasses import asdict, fields, is_dataclass
from datetime import UTC, date, datetime
from typing import Any


def written(record: Any) -> str:
    """Return a dataclass as canonical JSON: the same values always give the same text."""
    return json.dumps(
        asdict(record),
        sort_keys=True,
        ensure_ascii=False,
        allow_nan=False,
        separators=(",", ":"),
        default=_plain,
    )


def read[Record](kind: type[Record], text: str) -> Record:
    """Return the dataclass that a master text holds; a member that is not there has its default.

    Raises
    ------
    ValueError, KeyError, TypeError
        When the text holds no such dataclass.
    """
    return typing.cast("Record", _read(kind, json.loads(text)))


def fingerprint(master: str) -> str:
    """Return the SHA-256 of a master text, in hexadecimal."""
    return hashlib.sha256(master.encode()).hexdigest()


def _plain(value: object) -> str:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no place in a term record.")


def _read(kind: Any, value: Any) -> Any:
    """Turn what JSON holds into the kind of value that a field is declared to be."""
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if origin is types.UnionType:
        return None if value is None else _read(inner[0], value)
    if origin is tuple:
        return tuple(_read(inner[0], each) for each in value)
    if is_dataclass(kind):
        kinds = typing.get_type_hints(kind)
        names = [each.name for each in fields(kind) if each.name in value]
        members = {name: _read(kinds[name], value[name]) for name in names}
        return typing.cast("Any", kind)(**members)
    if kind in {datetime, date}:
        return kind.fromisoformat(value)
    return value
