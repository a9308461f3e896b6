"""Tables that a spreadsheet opens as they are meant: nothing in them is executed."""

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from django.utils.translation import gettext as _

type Row = dict[str, object]

# What a spreadsheet takes for the beginning of a formula, or skips on the way to one
# (OWASP ASVS 5.0.0, 1.2.10).
FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "\0")


def spreadsheet(rows: Sequence[Mapping[str, object]], columns: Sequence[str]) -> bytes:
    """Return a table as CSV that a spreadsheet opens as it is meant.

    UTF-8 with a mark, lines that end in CR LF (RFC 4180), days as ISO 8601, yes and no as words,
    numbers with a point. Text that would begin a formula is led by an apostrophe.
    """
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    writer.writeheader()
    writer.writerows({name: cell(row.get(name)) for name in columns} for row in rows)
    return out.getvalue().encode("utf-8-sig")


def cell(value: object) -> object:
    """Return a value as it may stand in a spreadsheet: numbers as they are, all else as text."""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, int | float):
        return value
    text = "" if value is None else value.isoformat() if isinstance(value, date) else str(value)
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text
