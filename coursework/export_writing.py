"""What the writers of long exports share: how they tell how far they are, and zips."""

import json
import shutil
import zipfile
from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import IO, Any, Final

type Progress = Callable[[int, int], None]

# The earliest day that a zip can state: with it equal contents give equal bytes.
NO_DAY: Final = (1980, 1, 1, 0, 0, 0)


class NotMade(Exception):
    """There can be no such file; the message is a sentence for the person who asked."""


def add(
    archive: zipfile.ZipFile, name: str, content: bytes, written_at: datetime | None = None
) -> None:
    """Add a small file to a zip, with the time in UTC that it has of itself, if it has one."""
    archive.writestr(_member(name, zipfile.ZIP_DEFLATED, written_at), content)


def add_copy(archive: zipfile.ZipFile, name: str, source: IO[bytes], *, packed: bool) -> None:
    """Copy an open file into a zip, piece by piece; ``packed`` where it is compressed already."""
    member = _member(name, zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED)
    with archive.open(member, "w", force_zip64=True) as target:
        shutil.copyfileobj(source, target, 1024 * 1024)


def canonical(value: Any) -> str:
    """Return JSON whose text depends on the value alone: sorted keys, times in UTC."""
    return json.dumps(value, sort_keys=True, ensure_ascii=False, allow_nan=False, default=_written)


def _member(name: str, compression: int, written_at: datetime | None = None) -> zipfile.ZipInfo:
    day = written_at.astimezone(UTC).timetuple()[:6] if written_at else NO_DAY
    member = zipfile.ZipInfo(name, max(day, NO_DAY))
    member.compress_type = compression
    member.create_system = 3
    member.external_attr = 0o600 << 16
    return member


def _written(value: object) -> str | float:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return float(value)
    raise TypeError(f"{type(value).__name__} has no place in a file.")
