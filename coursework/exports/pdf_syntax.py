"""The syntax of PDF objects (ISO 32000-1, 7.3), as far as documents are bound together."""

import re
import zlib
from typing import Any, Final

# A string, in which nothing is changed, or a reference to another object. What a document refers to
# in what is shared has generation 1 until it is moved: WeasyPrint knows no generation but 0.
STRING_OR_REFERENCE: Final = re.compile(rb"\((?:[^\\()]|\\.)*\)|\b(\d+) ([01]) R\b", re.DOTALL)


def renumbered(data: bytes, base: int) -> bytes:
    """Return an object with every reference of its document moved up by ``base``.

    Strings stay as they are, and references to what is shared point there.
    """

    def moved(found: re.Match[bytes]) -> bytes:
        if found[1] is None:
            return found[0]
        return reference(int(found[1]) + (base if found[2] == b"0" else 0))

    return STRING_OR_REFERENCE.sub(moved, data)


def reference(number: int) -> bytes:
    """Return a reference to the object of this number."""
    return b"%d 0 R" % number


def shared(number: int) -> bytes:
    """Return what :func:`renumbered` turns into a reference to a shared object."""
    return b"%d 1 R" % number


def number_of(reference: bytes) -> int:
    """Return the number of the object that is referred to."""
    return int(reference.split()[0])


def as_bytes(value: Any) -> bytes:
    """Return a value as it is written: bytes as they are, an object of pydyf as its data."""
    if isinstance(value, bytes):
        return value
    data = getattr(value, "data", None)
    return data if isinstance(data, bytes) else str(value).encode("ascii")


def array(*items: Any) -> bytes:
    """Return an array."""
    return b"[%b]" % b" ".join(map(as_bytes, items))


def dictionary(**members: Any) -> bytes:
    """Return a dictionary of the members that are not None."""
    found = ((name, value) for name, value in members.items() if value is not None)
    return b"<<%b>>" % b"".join(b"/%b %b" % (name.encode(), as_bytes(each)) for name, each in found)


def stream_of(content: bytes, **head: Any) -> bytes:
    """Return a compressed stream with what its dictionary says beside filter and length."""
    packed = zlib.compress(content, 6)
    extra = dictionary(**head, Filter="/FlateDecode", Length=len(packed))
    return b"%b\nstream\n%b\nendstream" % (extra, packed)
