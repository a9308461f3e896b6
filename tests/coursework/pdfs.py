"""What a PDF says and where it says it."""

import io

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
