"""What a PDF says and where it says it."""

import io
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pikepdf
import pypdf
import pytest
from django.utils.safestring import SafeString

from coursework.record_sheet import qr

MM_PER_POINT = 25.4 / 72


def read(made: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(made))


def words(made: bytes) -> str:
    """Return the text of all pages; a PDF sets kerned pairs apart, so spaces say nothing."""
    return "".join("".join(page.extract_text().split()) for page in read(made).pages)


def text(made: bytes) -> str:
    """Return the text in its order in the file, by pdftotext, or by pypdf where that is not."""
    program = shutil.which("pdftotext")
    if program is None:
        return "\n".join(page.extract_text() for page in read(made).pages)
    done = subprocess.run([program, "-raw", "-", "-"], input=made, capture_output=True, check=True)
    return done.stdout.decode()


@contextmanager
def opened(made: bytes) -> Iterator[pikepdf.Pdf]:
    """Open a PDF; what is read of it lives as long as it is open."""
    with pikepdf.open(io.BytesIO(made)) as pdf:
        yield pdf


def structure(parent: Any) -> Iterator[Any]:
    """Yield every element below one of the structure tree, parents before their children."""
    kids = parent.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kid
            yield from structure(kid)


def elements(pdf: pikepdf.Pdf, kind: str) -> list[Any]:
    """Return every element of a kind, such as ``/Figure``, in the order of reading."""
    return [each for each in structure(pdf.Root.StructTreeRoot) if kind == each.S]


def bookmarks(made: bytes) -> list[tuple[int, str, int]]:
    """Return depth, title and page from 1 of each entry of the outline."""
    reader = read(made)
    found: list[tuple[int, str, int]] = []

    def collect(entries: list[Any], depth: int) -> None:
        for each in entries:
            if isinstance(each, list):
                collect(each, depth + 1)
            else:
                page = reader.get_destination_page_number(each)
                found.append((depth, str(each.title), (-1 if page is None else page) + 1))

    collect(reader.outline, 1)
    return found


def attached(made: bytes) -> dict[str, bytes]:
    """Return the attached files by name."""
    with opened(made) as pdf:
        return {name: spec.get_file().read_bytes() for name, spec in pdf.attachments.items()}


def faults(made: bytes) -> list[str]:
    """Return what qpdf finds wrong with the file."""
    with opened(made) as pdf:
        return list(pdf.check_pdf_syntax())


def page_mm(page: pypdf.PageObject) -> tuple[float, float]:
    box = page.mediabox
    return float(box.width) * MM_PER_POINT, float(box.height) * MM_PER_POINT


def where(page: pypdf.PageObject) -> dict[str, tuple[float, float]]:
    """Return where each text begins, from the left and the upper edge of the page [mm]."""
    found: dict[str, tuple[float, float]] = {}
    height = page_mm(page)[1]

    def visit(text: str, cm: list[float], tm: list[float], *_font: object) -> None:
        x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
        y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
        if text.strip():
            found[text.strip()] = x * MM_PER_POINT, height - y * MM_PER_POINT

    page.extract_text(visitor_text=visit)
    return found


def fonts(page: pypdf.PageObject) -> list[tuple[str, float]]:
    """Return each text with its size [pt]."""
    found: list[tuple[str, float]] = []

    def visit(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            found.append((text, size * abs(tm[3] * cm[3])))

    page.extract_text(visitor_text=visit)
    return found


def addresses_drawn(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return a list that every address drawn as a code from now on is added to."""
    drawn: list[str] = []

    def draw(address: str) -> SafeString:
        drawn.append(address)
        return qr(address)

    monkeypatch.setattr("coursework.shop_prints.qr", draw)
    return drawn
