"""A term record as CSV for a spreadsheet: a row for each exercise."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils.text import slugify

from coursework.exports.cells import spreadsheet
from coursework.exports.coupon_rows import Cells, note
from coursework.progress import State
from coursework.record import ExerciseLine, FigureSpread, TermRecord
from coursework.record_figures import FIGURES


def file_name(record: TermRecord, extension: str) -> str:
    """Return a file name of plain letters: the student's as far as they have any, and the code."""
    code = record.issue.code if record.issue else ""
    words = ("term-record", slugify(record.student)[:60].strip("-"), code)
    return "-".join(filter(None, words)) + f".{extension}"


def record_csv(record: TermRecord) -> bytes:
    """Return a record as a table of one row an exercise, each complete in itself.

    Days are those of the school's time zone; the unit of a figure is in the name of its column.
    """
    head, zone = _head(record), ZoneInfo(record.time_zone)
    rows = [head | _exercise(each, zone) | {"note": note()} for each in record.exercises]
    return spreadsheet(rows, list(rows[0]) if rows else [*head, "note"])


def _day(at: datetime | None, zone: ZoneInfo) -> date | None:
    return at.astimezone(zone).date() if at else None


def _state(state: int) -> str:
    return str(State(state).label)


def _head(record: TermRecord) -> Cells:
    issue, zone = record.issue, ZoneInfo(record.time_zone)
    return {
        "record": issue.code if issue else "",
        "issue": issue.number if issue else None,
        "issued_by": issue.issued_by if issue else "",
        "issued_on": _day(issue.issued_at, zone) if issue else None,
        "school": record.school,
        "term": record.term,
        "course": f"{record.course_code} {record.course_title}",
        "section": record.section,
        "student": record.student,
        "student_number": record.student_number,
    }


def _exercise(line: ExerciseLine, zone: ZoneInfo) -> Cells:
    row: Cells = {
        "exercise_number": line.place,
        "exercise": line.title,
        "process": line.process,
        "joint": line.joint,
        "position": line.position,
        "metal": line.metal,
        "thickness_mm": line.thickness_mm,
        "filler": line.filler or "none",
        "state": _state(line.state),
        "coupons_logged": line.logged,
        "coupons_good": line.good,
        "good_coupons_wanted": line.wanted,
        "coupons_waiting": line.waiting,
        "best_level": line.best_level,
        "last_level": line.last_level,
        "last_handed_in_on": _day(line.last_handed_in_at, zone),
        "signed_by": line.signed_by,
        "signed_on": _day(line.signed_at, zone),
    }
    figures = {each.name: each for each in line.figures}
    for name in FIGURES:
        row |= _figure(name, figures.get(name))
    return row


def _figure(name: str, figure: FigureSpread | None) -> Cells:
    first, last = (figure.first_third, figure.last_third) if figure else (None, None)
    inside = figure.in_window if figure else None
    return {
        f"{name}_mean": figure.all.mean if figure else None,
        f"{name}_standard_deviation": figure.all.standard_deviation if figure else None,
        f"{name}_standard_deviation_first_third": first.standard_deviation if first else None,
        f"{name}_standard_deviation_last_third": last.standard_deviation if last else None,
        f"{name}_coupons": figure.all.coupons if figure else 0,
        f"{name}_coupons_in_window": inside.count if inside else None,
    }
