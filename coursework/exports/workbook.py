"""Tables as one XLSX workbook, a sheet each: typed cells, real dates, a frozen header.

Text is written as text, whatever it looks like: no formula and no link comes of it. Rows go to
the disk as they come, so memory does not grow with them. Equal tables give equal bytes.
"""

import math
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from types import TracebackType
from typing import Final, Self

import xlsxwriter
from django.utils.translation import gettext as _
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from coursework.exports.cells import Row, visible
from coursework.exports.columns import Columns

# What Excel takes in one cell, counted in UTF-16 (Excel specifications and limits, from memory).
LONGEST_CELL: Final = 32_767
# The calendar of a workbook begins in 1900.
FIRST_YEAR: Final = 1900
# A date of making would make two workbooks of the same tables differ.
NO_DAY: Final = datetime(1980, 1, 1)  # noqa: DTZ001 - the library takes it without a zone
IDS: Final = {"student_number", "coupon_id", "record", "rule"}
WIDE: Final = {"comment", "says", "statement", "remark", "repeat", "reason", "showed", "missing"}
NAMES: Final = {"student", "exercise", "course", "criterion", "rubric", "graded_by", "tested_by"}


class Workbook:
    """A workbook that is being written; leaving its ``with`` block closes it.

    Parameters
    ----------
    to : Path
        Where to write.
    sheets : mapping of str to Columns
        The sheets by title, in their order, each with its columns.
    about : mapping of str to str
        What the last sheet says first: name and value.
    footer : str
        What stands below every printed page.
    """

    def __init__(
        self, to: Path, sheets: Mapping[str, Columns], about: Mapping[str, str], footer: str
    ) -> None:
        options = {
            "constant_memory": True,
            "strings_to_formulas": False,
            "strings_to_numbers": False,
            "strings_to_urls": False,
            "tmpdir": str(to.parent),
        }
        self._to = to
        self._book = xlsxwriter.Workbook(str(to), options)
        self._book.set_properties({"title": next(iter(about.values()), ""), "created": NO_DAY})
        self._footer = footer
        self._formats = {
            "head": self._book.add_format({"bold": True, "bottom": 1}),
            "id": self._book.add_format({"num_format": "@"}),
            "day": self._book.add_format({"num_format": "yyyy-mm-dd"}),
            "time": self._book.add_format({"num_format": "yyyy-mm-dd hh:mm:ss"}),
        }
        self._sheets = {title: self._sheet(title, columns) for title, columns in sheets.items()}
        self._columns = sheets
        self._rows = dict.fromkeys(sheets, 0)
        self._about = about

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        _error: BaseException | None,
        _trace: TracebackType | None,
    ) -> None:
        """Close the workbook; of one that was not finished no file is left to be taken for it."""
        if kind is None:
            self._say_about()
        for title, sheet in self._sheets.items():
            sheet.autofilter(0, 0, self._rows[title], len(self._columns[title]) - 1)
        self._book.close()
        if kind is not None:
            self._to.unlink(missing_ok=True)

    def add(self, title: str, row: Row) -> None:
        """Write the next row of a sheet."""
        self._rows[title] += 1
        sheet, at = self._sheets[title], self._rows[title]
        for column, name in enumerate(self._columns[title]):
            self._write(sheet, at, column, name, row[name])

    def _sheet(self, title: str, columns: Columns) -> Worksheet:
        sheet = self._book.add_worksheet(title)
        for column, name in enumerate(columns):
            sheet.set_column(column, column, _width(name))
            sheet.write_string(0, column, name, self._formats["head"])
        sheet.freeze_panes(1, 1)
        sheet.repeat_rows(0)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.set_footer(f"&L{self._footer}&R&P / &N")
        return sheet

    def _write(self, sheet: Worksheet, row: int, column: int, name: str, value: object) -> None:
        if value is None or value == "":
            return
        if isinstance(value, bool):
            sheet.write_boolean(row, column, value)
        elif isinstance(value, int | float) and math.isfinite(value):
            sheet.write_number(row, column, value)
        elif isinstance(value, date) and value.year >= FIRST_YEAR:
            kind = "time" if isinstance(value, datetime) else "day"
            sheet.write_datetime(row, column, value, self._formats[kind])
        else:
            self._write_text(sheet, row, column, str(value), name in IDS)

    def _write_text(self, sheet: Worksheet, row: int, column: int, text: str, is_id: bool) -> None:
        style: Format | None = self._formats["id"] if is_id else None
        sheet.write_string(row, column, fitting(text), style)

    def _say_about(self) -> None:
        """Add the sheet that says what the others hold."""
        sheet = self._book.add_worksheet(_("about"))
        sheet.set_column(0, 0, 24)
        sheet.set_column(1, 1, 90)
        lines = [*self._about.items(), ("", "")]
        for title, columns in self._columns.items():
            lines += [(title, ""), *((name, str(says)) for name, says in columns.items()), ("", "")]
        for row, (name, value) in enumerate(lines):
            head = self._formats["head"] if name and not value else None
            sheet.write_string(row, 0, fitting(name), head)
            sheet.write_string(row, 1, fitting(value))


def fitting(text: str) -> str:
    """Return text as a cell can hold it; what is too long says that it was cut, and where."""
    if text.isascii() and text.isprintable() and len(text) <= LONGEST_CELL:
        return text
    shown = visible(text.replace("\r\n", "\n").replace("\r", "\n"))
    if _length(shown) <= LONGEST_CELL:
        return shown
    said = _(" … (cut here: a cell holds no more; the JSON file has all %d characters)") % len(text)
    room = (LONGEST_CELL - _length(said)) * 2
    return shown.encode("utf-16-le")[:room].decode("utf-16-le", "ignore") + said


def _length(text: str) -> int:
    return len(text.encode("utf-16-le")) // 2


def _width(name: str) -> int:
    least = 48 if name in WIDE else 22 if name in NAMES else 9
    return max(least, len(name) + 3)
