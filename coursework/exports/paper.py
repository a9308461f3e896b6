"""A term record, and every other page on paper, as PDF.

An issued record is printed from its master alone: equal masters give equal bytes.
"""

from pathlib import Path
from typing import Final, Literal

from django.conf import settings
from django.template.loader import render_to_string

from coursework.record import TermRecord
from coursework.record_sheet import sheet

type PageSize = Literal["A4", "letter"]

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
