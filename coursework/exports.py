"""A term record as PDF, and records and sections as CSV for a spreadsheet.

An issued record is exported from its master alone: equal masters give equal bytes.
"""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Final, Literal
from zoneinfo import ZoneInfo

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.text import slugify
from django.utils.translation import gettext as _

from coursework.models import Enrolment, IssuedRecord, Section
from coursework.progress import ExerciseProgress, State
from coursework.record import ExerciseLine, FigureSpread, TermRecord
from coursework.record_figures import FIGURES
from coursework.record_sheet import sheet

type PageSize = Literal["A4", "letter"]
type Row = dict[str, object]

# What a spreadsheet takes for the beginning of a formula, or skips on the way to one
# (OWASP ASVS 5.0.0, 1.2.10).
FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "\0")
INSTALL_LINE: Final = "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"


class NoPdf(Exception):
    """The library that lays out PDFs is not on this computer."""


def pdf(
    record: TermRecord, sha256: str = "", address: str = "", *, page_size: PageSize = "A4"
) -> bytes:
    """Return the record as a tagged PDF (made to PDF/UA-1), which opens no file and no address.

    Parameters
    ----------
    record : TermRecord
        As read back from its master.
    sha256 : str
        The fingerprint of the master.
    address : str
        Where the issued record is shown; the QR code leads there.
    page_size : "A4" or "letter"
        The paper.

    Raises
    ------
    NoPdf
        When Pango is missing.
    """
    page = render_to_string("coursework/record_print.html", sheet(record, sha256, address))
    styles = Path(settings.BASE_DIR, "static/css/record.css").read_text(encoding="utf-8")
    return write_pdf(page, styles, f"@page {{ size: {page_size} }}")


def write_pdf(page: str, *styles: str) -> bytes:
    """Return a page as a tagged PDF (made to PDF/UA-1), which opens no file and no address.

    Parameters
    ----------
    page : str
        The whole HTML document.
    styles : str
        Style sheets; later ones win.

    Raises
    ------
    NoPdf
        When Pango is missing.
    """
    try:
        # Loads Pango, which a server that makes no PDF can do without, and takes half a second.
        from weasyprint import CSS, HTML  # type: ignore[import-untyped]  # noqa: PLC0415
        from weasyprint.urls import URLFetcher  # type: ignore[import-untyped]  # noqa: PLC0415
    except OSError as error:
        raise NoPdf from error
    only_data = URLFetcher(allowed_protocols={"data"}, allow_redirects=False)
    written: bytes = HTML(string=page, url_fetcher=only_data).write_pdf(
        stylesheets=[CSS(string=each, url_fetcher=only_data) for each in styles],
        pdf_variant="pdf/ua-1",
    )
    return written


def file_name(record: TermRecord, extension: str) -> str:
    """Return a file name of plain letters: the student's as far as they have any, and the code."""
    code = record.issue.code if record.issue else ""
    words = ("term-record", slugify(record.student)[:60].strip("-"), code)
    return "-".join(filter(None, words)) + f".{extension}"


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


def record_csv(record: TermRecord) -> bytes:
    """Return a record as a table of one row an exercise, each complete in itself.

    Days are those of the school's time zone; the unit of a figure is in the name of its column.
    """
    head, zone = _head(record), ZoneInfo(record.time_zone)
    rows = [head | _exercise(each, zone) | {"note": _note()} for each in record.exercises]
    return spreadsheet(rows, list(rows[0]) if rows else [*head, "note"])


def section_csv(
    section: Section,
    progress: Iterable[tuple[Enrolment, Sequence[ExerciseProgress]]],
    issued: Mapping[int, IssuedRecord],
) -> bytes:
    """Return a section as a table of one row for each student and exercise.

    Parameters
    ----------
    section : Section
        With its plan, term, school and settings at hand.
    progress : iterable of (Enrolment, sequence of ExerciseProgress)
        The students, in the order of the rows, and how far they are.
    issued : mapping
        The newest issued record by enrolment, where there is one.
    """
    zone = ZoneInfo(section.term.school.settings.time_zone)
    rows = [
        _section_head(section)
        | {"student": str(enrolment.user), "student_number": enrolment.user.student_number}
        | _progress(each, zone)
        | _newest(issued.get(enrolment.pk), zone)
        | {"note": _note()}
        for enrolment, exercises in progress
        for each in exercises
    ]
    return spreadsheet(rows, list(rows[0]) if rows else [*_section_head(section), "note"])


def _note() -> str:
    return _("Training record of practice coupons; not a welder qualification.")


def _day(at: datetime | None, zone: ZoneInfo) -> date | None:
    return at.astimezone(zone).date() if at else None


def _state(state: int) -> str:
    return str(State(state).label)


def _head(record: TermRecord) -> Row:
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


def _exercise(line: ExerciseLine, zone: ZoneInfo) -> Row:
    row: Row = {
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


def _figure(name: str, figure: FigureSpread | None) -> Row:
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


def _section_head(section: Section) -> Row:
    return {
        "school": section.term.school.name,
        "term": section.term.name,
        "course": str(section.plan),
        "section": section.name,
    }


def _progress(progress: ExerciseProgress, zone: ZoneInfo) -> Row:
    return {
        "exercise_number": progress.exercise.place,
        "exercise": progress.exercise.title,
        "state": _state(progress.state),
        "coupons_logged": progress.logged,
        "coupons_good": progress.good,
        "good_coupons_wanted": progress.wanted,
        "coupons_waiting": progress.waiting,
        "ready_for_sign_off": progress.ready_for_sign_off,
        "signed_by": str(progress.signed_by or ""),
        "signed_on": _day(progress.signed_at, zone),
        "missing": progress.missing,
    }


def _newest(issued: IssuedRecord | None, zone: ZoneInfo) -> Row:
    return {
        "record": issued.code if issued else "",
        "record_issue": issued.issue if issued else None,
        "record_issued_on": _day(issued.issued_at, zone) if issued else None,
    }
