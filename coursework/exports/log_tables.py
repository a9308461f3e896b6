"""A coupon log as tables: CSV of the coupons, or a workbook with a sheet for each kind of row."""

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from coursework.exports import columns
from coursework.exports.cells import write_csv
from coursework.exports.columns import Columns
from coursework.exports.coupon_rows import (
    check_test_rows,
    coupon_row,
    finding_rows,
    grade_rows,
    note,
    score_rows,
)
from coursework.exports.student_rows import Student, exercise_rows, student_rows
from coursework.exports.workbook import Workbook
from coursework.models import Coupon, School

SHEETS: Final[Mapping[str, Columns]] = {
    "students": columns.STUDENTS,
    "exercises": columns.EXERCISES,
    "coupons": columns.COUPONS,
    "findings": columns.FINDINGS,
    "grades": columns.GRADES,
    "scores": columns.SCORES,
    "check tests": columns.CHECK_TESTS,
}


def write_coupons(coupons: Iterable[Coupon], zone: ZoneInfo, to: Path) -> None:
    """Write coupons, as ``reading.bare`` gives them, as CSV: a row each."""
    with to.open("w", encoding="utf-8", newline="") as out:
        write_csv(out, (coupon_row(each, zone) for each in coupons), columns.COUPONS)


def write_workbook(
    school: School,
    title: str,
    students: Iterable[Student],
    coupons: Iterable[Coupon],
    to: Path,
) -> None:
    """Write students and coupons as a workbook.

    Parameters
    ----------
    school : School
        With its settings at hand.
    title : str
        What the workbook is about.
    students : iterable of Student
        Whose coupons they are.
    coupons : iterable of Coupon
        As ``reading.whole`` gives them.
    to : Path
        Where to write.
    """
    zone = school.settings.zone
    about = {
        _("What"): title,
        _("School"): school.name,
        _("Times"): _("by the clock of %s") % zone.key,
        _("Note"): note(),
    }
    found = list(students)
    with Workbook(to, SHEETS, about, note()) as book:
        for row in student_rows(found, zone):
            book.add("students", row)
        for row in exercise_rows(found, zone):
            book.add("exercises", row)
        for coupon in coupons:
            _add(book, coupon, zone)


def _add(book: Workbook, coupon: Coupon, zone: ZoneInfo) -> None:
    book.add("coupons", coupon_row(coupon, zone))
    for title, rows in (
        ("findings", finding_rows(coupon)),
        ("grades", grade_rows(coupon, zone)),
        ("scores", score_rows(coupon)),
        ("check tests", check_test_rows(coupon, zone)),
    ):
        for row in rows:
            book.add(title, row)
