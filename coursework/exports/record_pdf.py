"""An issued term record on paper. It is printed from its master: equal masters give equal bytes."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from coursework.exports.paper import AttachedFile, PageSize, write_pdf
from coursework.models import IssuedRecord, SchoolSettings
from coursework.record import TermRecord, from_master, to_master
from coursework.record_checking import check_path
from coursework.record_photos import RecordPhoto, photos_of
from coursework.record_sheet import sheet

PAPERS: Final[tuple[PageSize, ...]] = ("letter", "A4")
# What the sheet says for screens alone; on paper it would only be read, and twice as long.
FOR_SCREENS: Final = re.compile(r' (?:role|data-name|aria-[a-z]+)="[^"]*"')


@dataclass(frozen=True, slots=True)
class Print:
    """Everything that a PDF is made of."""

    page: str
    styles: tuple[str, ...]
    attached: tuple[AttachedFile, ...]

    def pdf(self) -> bytes:
        """Return it as PDF; raises NoPdf where Pango is missing."""
        return write_pdf(self.page, *self.styles, attached=self.attached)


def paper_of(school: SchoolSettings, wanted: str = "") -> PageSize:
    """Return the paper that was asked for, or else that of the school's units."""
    found = [each for each in PAPERS if each == wanted]
    return found[0] if found else "A4" if school.metric_first else "letter"


def issue_print(issued: IssuedRecord, site: str, page_size: PageSize) -> Print:
    """Return the print of an issued record, with its master and photos; one query.

    Parameters
    ----------
    issued : IssuedRecord
        With who withdrew it at hand, where it was withdrawn: the print says so.
    site : str
        The address of the site, such as ``https://weldlog.example``.
    page_size : "A4" or "letter"
        The paper.
    """
    record = from_master(issued.master)
    address = site.rstrip("/") + check_path(issued)
    context = sheet(record, issued.sha256, address)
    context |= {"photos": photos_of(issued, record), "withdrawn": issued.withdrawn_at and issued}
    master = attached_master(issued.code, issued.master, issued.issued_at)
    return _print(context, page_size, (master,))


def pdf(
    record: TermRecord,
    sha256: str = "",
    address: str = "",
    *,
    page_size: PageSize = "A4",
    photos: Sequence[RecordPhoto] = (),
) -> bytes:
    """Return a record as a tagged PDF (made to PDF/UA-1), with its master if it was issued.

    Parameters
    ----------
    record : TermRecord
        As read back from its master, or a preview.
    sha256 : str
        The fingerprint of the master; empty in a preview.
    address : str
        Where the issued record is shown; the QR code leads there.
    page_size : "A4" or "letter"
        The paper.
    photos : sequence of RecordPhoto
        What is shown of the coupons.

    Raises
    ------
    NoPdf
        When Pango is missing.
    """
    context = sheet(record, sha256, address) | {"photos": photos}
    issue = record.issue
    attached = [attached_master(issue.code, to_master(record), issue.issued_at)] if issue else []
    return _print(context, page_size, tuple(attached)).pdf()


def _print(
    context: dict[str, Any], page_size: PageSize, attached: tuple[AttachedFile, ...]
) -> Print:
    page = FOR_SCREENS.sub("", render_to_string("coursework/record_print.html", context))
    return Print(page, (record_styles(), page_styles(page_size)), attached)


@cache
def record_styles() -> str:
    """Return the style of everything that is printed of a record."""
    return Path(settings.BASE_DIR, "static/css/record.css").read_text(encoding="utf-8")


def page_styles(page_size: PageSize) -> str:
    """Return the style that chooses the paper."""
    return f"@page {{ size: {page_size} }}"


def attached_master(code: str, master: str, issued_at: datetime) -> AttachedFile:
    """Return the master of a record as the file that travels in its print."""
    described = _("The record as data. Training record, not a qualification.")
    return AttachedFile(f"{code}.json", master.encode(), described, issued_at)
