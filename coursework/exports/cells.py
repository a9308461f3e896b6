"""Tables that a spreadsheet opens as they are meant: nothing is executed, nothing is lost."""

import csv
import io
import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Final, TextIO

from django.utils.translation import gettext as _

type Row = Mapping[str, object]

# What a spreadsheet takes for the beginning of a formula, or skips on the way to one
# (OWASP ASVS 5.0.0, 1.2.10). The wide forms are read as the narrow ones by some (from memory).
FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")
MARK: Final = "\N{BYTE ORDER MARK}"

# A control character has a picture of its own, U+2400 and up (The Unicode Standard, block Control
# Pictures). What is no character at all becomes the replacement character.
PICTURES: Final = {n: 0x2400 + n for n in range(32) if chr(n) not in "\t\n\r"} | {0x7F: 0x2421}
NO_CHARACTERS: Final = re.compile("[\ud800-\udfff\ufffe\uffff]")


def visible(text: str) -> str:
    """Return text with a sign in place of every character that a file or a screen would lose.

    Tabs and line breaks stay as they are.

    >>> visible("a\\0b")
    'a␀b'
    """
    if text.isprintable():
        return text
    return NO_CHARACTERS.sub("\N{REPLACEMENT CHARACTER}", text.translate(PICTURES))


def spreadsheet(rows: Iterable[Row], columns: Iterable[str]) -> bytes:
    """Return a table as CSV that a spreadsheet opens as it is meant; see :func:`write_csv`."""
    out = io.StringIO(newline="")
    write_csv(out, rows, columns)
    return out.getvalue().encode()


def write_csv(out: TextIO, rows: Iterable[Row], columns: Iterable[str]) -> None:
    """Write a table as CSV that a spreadsheet opens as it is meant, one row at a time.

    With a mark that says UTF-8, lines that end in CR LF (RFC 4180), days and times as ISO 8601,
    yes and no as words, numbers with a point. Text that would begin a formula is led by an
    apostrophe.

    Parameters
    ----------
    out : TextIO
        Opened as UTF-8 with ``newline=""``.
    rows : iterable of mapping
        Each has a value for every column.
    columns : iterable of str
        The names of the columns, in their order.
    """
    names = list(columns)
    writer = csv.writer(out, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    out.write(MARK)
    writer.writerow(names)
    writer.writerows([cell(row[name]) for name in names] for row in rows)


def cell(value: object) -> object:
    """Return a value as it may stand in a spreadsheet: numbers as they are, all else as text."""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, int | float):
        return value
    text = visible(_text(value))
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.isoformat(" ", "seconds")
    return value.isoformat() if isinstance(value, date) else str(value)
