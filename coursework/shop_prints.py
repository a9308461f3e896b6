"""What is printed for the shop: the poster of a section, and sheets of labels."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final
from zoneinfo import ZoneInfo

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from coursework.exports import PageSize, write_pdf
from coursework.joining import last_day, spaced_code
from coursework.label_sheets import PAPERS, LabelSheet
from coursework.models import Coupon, Enrolment, Section
from coursework.record_sheet import qr

# Inside a label: from its edges, and between the code and the words.
INSET_MM: Final = 2.0
GAP_MM: Final = 2.0
LARGEST_QR_MM: Final = 30.0


@dataclass(frozen=True, slots=True)
class Label:
    """One label: the address that its code names, and what it says in words."""

    address: str
    title: str
    lines: tuple[str, ...]
    blanks: bool = False


def student_label(enrolment: Enrolment, address: str) -> Label:
    """Return a label to stick on a coupon before it is logged, with room for what is not known."""
    section = enrolment.section
    lines = (f"{section}", f"{section.term}")
    name = f"{enrolment.user.last_name}, {enrolment.user.first_name}"
    return Label(address, name, lines, blanks=True)


def coupon_label(coupon: Coupon, address: str, zone: ZoneInfo) -> Label:
    """Return a label for a coupon that was logged."""
    day = coupon.handed_in_at.astimezone(zone).date().isoformat()
    user = coupon.enrolment.user
    lines = (f"{user.last_name}, {user.first_name}", str(coupon.exercise), day)
    return Label(address, _("Coupon %d") % coupon.number, lines)


def _styles() -> str:
    return Path(settings.BASE_DIR, "static/css/shop_prints.css").read_text(encoding="utf-8")


def poster_pdf(section: Section, join_page: str, *, page_size: PageSize) -> bytes:
    """Return the poster of a section as PDF.

    Parameters
    ----------
    section : Section
        With its term, school, settings and plan at hand.
    join_page : str
        The address of the page where a code is typed.

    Raises
    ------
    NoPdf
        When Pango is missing.
    """
    context = {
        "section": section,
        "join_page": join_page.partition("://")[2].rstrip("/"),
        "qr": qr(f"{join_page}?code={section.join_code}"),
        "code": spaced_code(section.join_code),
        "last_day": last_day(section),
    }
    page = render_to_string("coursework/poster_print.html", context)
    return write_pdf(page, _styles(), f"@page {{ size: {page_size}; margin: 15mm }}")


def labels_pdf(labels: Sequence[Label], sheet: LabelSheet, *, start: int = 1) -> bytes:
    """Return labels on as many sheets as they need.

    Parameters
    ----------
    labels : sequence of Label
        At least one.
    sheet : LabelSheet
        Where labels lie.
    start : int
        The first label of the first sheet that is still there, from 1, row by row.

    Raises
    ------
    NoPdf
        When Pango is missing.
    """
    context = {"leaves": leaves(labels, sheet.count, start)}
    page = render_to_string("coursework/labels_print.html", context)
    return write_pdf(page, _styles(), sheet_styles(sheet))


def leaves(labels: Sequence[Label], count: int, start: int) -> list[list[dict[str, Any]]]:
    """Return the labels of each sheet, each with its place on it from 1 and its code."""
    placed: list[list[dict[str, Any]]] = []
    for at, label in enumerate(labels, start=start - 1):
        if at % count == 0 or not placed:
            placed.append([])
        placed[-1].append({"place": at % count + 1, "label": label, "qr": qr(label.address)})
    return placed


def sheet_styles(sheet: LabelSheet) -> str:
    """Return the style that puts each place of a sheet where it is."""
    width, height = PAPERS[sheet.page]
    code = min(sheet.height_mm - 2 * INSET_MM, LARGEST_QR_MM)
    words = sheet.width_mm - code - 2 * INSET_MM - GAP_MM
    square = f"width: {code:.4f}mm; height: {code:.4f}mm"
    text = f"width: {words:.4f}mm; height: {sheet.height_mm - 2 * INSET_MM:.4f}mm"
    rules = [
        f"@page {{ size: {width}mm {height}mm; margin: 0 }}",
        # A hair less than the page, so that rounding never asks for one more.
        f".leaf {{ width: {width}mm; height: {height - 0.1:.2f}mm }}",
        f".label {{ width: {sheet.width_mm:.4f}mm; height: {sheet.height_mm:.4f}mm }}",
        f".label svg {{ top: {INSET_MM}mm; left: {INSET_MM}mm; {square} }}",
        f".words {{ top: {INSET_MM}mm; left: {INSET_MM + code + GAP_MM:.4f}mm; {text} }}",
    ]
    rules += [
        f".at-{place} {{ left: {left:.4f}mm; top: {top:.4f}mm }}"
        for place, (left, top) in enumerate(sheet.places(), start=1)
    ]
    return "\n".join(rules)
