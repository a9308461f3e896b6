"""Records as PDF and as tables: readable, equal every time, and deaf to hostile text."""

import csv
import io
import logging
import sys
from collections.abc import Iterator
from dataclasses import replace
from importlib.machinery import ModuleSpec
from typing import Any

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf.generic import DictionaryObject

from coursework import exports
from coursework.record import TermRecord
from tests.coursework.records import a_record

ADDRESS = "https://weldlog.example/records/7QK4-MB2X/"
SHA = "3f9ac1d708be5521" * 4
HOSTILE = (
    "=cmd|' /C calc'!A0",
    "\u202eyrubnepO\u202c \u200fRTL",
    "W" * 300,
    "Ada \U0001f9d1\U0001f3fd\u200d\U0001f3ed \U0001f525",
    "<link rel=attachment href=file:///etc/passwd><script>alert(1)</script>{{ record }}",
)


@pytest.fixture
def loud(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """Fail on anything that the PDF library complains of: missing alt, language, odd style.

    A sign that no font of this machine has, such as an emoji, is not the record's fault.
    """
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        yield
    said = [each for each in caplog.get_records("call") if each.name.startswith("weasyprint")]
    assert [each.message for each in said if "unsupported by fonts" not in each.message] == []


def read(made: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(made))


def text_of(reader: pypdf.PdfReader) -> str:
    return "\n".join(page.extract_text() for page in reader.pages)


def full_record() -> TermRecord:
    """A record of three pages: forty coupons that count."""
    plain = a_record()
    coupons = tuple(replace(plain.coupons[0], number=number) for number in range(1, 41))
    return replace(plain, coupons=coupons)


# --- PDF


@pytest.mark.pdf
@pytest.mark.usefixtures("loud")
def test_the_pdf_reads_in_the_order_of_the_sheet() -> None:
    text = text_of(read(exports.pdf(full_record(), SHA, ADDRESS)))
    order = (
        "Term record, Fall 2026",
        "Ansa Quill",
        "ALW 12",
        "7QK4-MB2X",
        "Competent in 1 of 2 exercises.",
        "1 Tee",
        "2 Lap",
        "Not started: 2 Lap.",
        "Issued by Odo Hale, Nov 20, 2026",
        "Figures and how steady they are",
        "4.0 ± 1.3",
        "Even ripples.",
        "Coupons that count",
        "Fingerprint 3f9a c1d7 08be 5521.",
    )
    places = [text.index(each) for each in order]
    assert places == sorted(places)


@pytest.mark.pdf
@pytest.mark.usefixtures("loud")
def test_every_page_is_numbered_and_says_that_it_is_a_training_record() -> None:
    pages = [page.extract_text() for page in read(exports.pdf(full_record(), SHA, ADDRESS)).pages]
    assert len(pages) > 1
    for number, text in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in text
        assert "not a welder qualification" in " ".join(text.split())


@pytest.mark.pdf
@pytest.mark.usefixtures("loud")
def test_the_pdf_is_tagged_titled_and_in_a_language() -> None:
    """What PDF/UA-1 asks for, as far as it can be read from the file (ISO 14289-1, clause 7)."""
    reader = read(exports.pdf(a_record(), SHA, ADDRESS))
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en-us"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader.metadata
    assert reader.metadata.title == "Term record, Fall 2026: Ansa Quill"
    kinds = list(tags(root["/StructTreeRoot"]))
    assert {"/H1", "/H2", "/Table", "/TH", "/TD", "/Figure"} <= {each["/S"] for each in kinds}
    assert all(each.get("/Alt") for each in kinds if each["/S"] == "/Figure")
    assert b'pdfuaid:part="1"' in root["/Metadata"].get_data()


def tags(element: Any) -> Iterator[Any]:
    """Yield every element of a PDF's structure tree."""
    kids = element.get("/K", [])
    for each in kids if isinstance(kids, list) else [kids]:
        kid = each.get_object()
        if isinstance(kid, DictionaryObject) and "/S" in kid:
            yield kid
            yield from tags(kid)


# A4 is 210 by 297 mm (ISO 216), Letter 8.5 by 11 in; a point is 1/72 in.
@pytest.mark.pdf
@pytest.mark.parametrize(("size", "points"), [("A4", (595.3, 841.9)), ("letter", (612, 792))])
def test_the_page_is_of_the_size_asked_for(size: Any, points: tuple[float, float]) -> None:
    box = read(exports.pdf(a_record(), SHA, ADDRESS, page_size=size)).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(points, abs=0.1)


@pytest.mark.pdf
def test_equal_records_give_equal_bytes() -> None:
    assert exports.pdf(a_record(), SHA, ADDRESS) == exports.pdf(a_record(), SHA, ADDRESS)


@pytest.mark.pdf
@pytest.mark.usefixtures("loud")
@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_is_printed_whole_and_does_nothing(hostile: str) -> None:
    plain = a_record()
    record = replace(
        plain,
        student=hostile,
        course_title=hostile,
        comments=(replace(plain.comments[0], text=hostile),),
        coupons=(replace(plain.coupons[0], metal=hostile),),
    )
    reader = read(exports.pdf(record, SHA, ADDRESS))
    assert not reader.attachments
    assert reader.metadata
    assert reader.metadata.title == f"Term record, Fall 2026: {hostile}"
    text = "".join(text_of(reader).split())
    assert "root:x:" not in text
    if hostile.isascii():
        assert text.count("".join(hostile.split())) >= 4


@pytest.mark.pdf
def test_the_pdf_library_opens_nothing_even_if_it_is_told_to(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """WeasyPrint's own fetcher would have embedded the file."""
    page = """<html lang="en"><title>x</title><link rel="attachment" href="file:///etc/passwd">
        <img src="file:///etc/passwd" alt="x"><p>seen</p></html>"""
    monkeypatch.setattr(exports.paper, "render_to_string", lambda *_: page)
    reader = read(exports.pdf(a_record()))
    assert "seen" in text_of(reader)
    assert not reader.attachments


class NoPango:
    """Finds that Pango is missing, as WeasyPrint does where it is not installed."""

    @staticmethod
    def find_spec(name: str, _path: object = None, _target: object = None) -> ModuleSpec | None:
        if name == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")
        return None


def test_without_pango_there_is_no_pdf_and_nothing_else_is_missing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    monkeypatch.setattr(sys, "meta_path", [NoPango, *sys.meta_path])
    with pytest.raises(exports.NoPdf):
        exports.pdf(a_record())
    assert exports.record_csv(a_record())


# --- tables


def rows_of(table: bytes) -> list[dict[str, str]]:
    assert table.startswith(b"\xef\xbb\xbf")
    return list(csv.DictReader(io.StringIO(table.decode("utf-8-sig"), newline="")))


def test_a_record_is_a_row_an_exercise_with_units_in_the_names() -> None:
    tee, lap = rows_of(exports.record_csv(a_record()))
    assert (tee["record"], tee["student"], tee["exercise"]) == ("7QK4-MB2X", "Ansa Quill", "Tee")
    assert (tee["state"], tee["coupons_good"], tee["signed_on"]) == ("competent", "2", "2026-11-20")
    assert tee["travel_speed_mm_s_mean"] == "4.0417"
    assert tee["travel_speed_mm_s_coupons_in_window"] == "5"
    assert (lap["filler"], lap["best_level"], lap["travel_speed_mm_s_mean"]) == ("none", "", "")
    assert "not a welder qualification" in tee["note"]


def test_days_are_those_of_the_school() -> None:
    """17:30 UTC on November 20 is the 21st in Auckland (UTC+13 in summer time)."""
    (tee, _lap) = rows_of(exports.record_csv(a_record(time_zone="Pacific/Auckland")))
    assert tee["issued_on"] == "2026-11-21"


def test_a_record_without_exercises_is_a_head_alone() -> None:
    assert rows_of(exports.record_csv(a_record(exercises=()))) == []


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_stays_text_in_a_table(hostile: str) -> None:
    (tee, _lap) = rows_of(exports.record_csv(a_record(student=hostile)))
    assert tee["student"].removeprefix("'") == hostile
    assert not tee["student"].startswith("=")


@given(st.text(max_size=40))
def test_no_text_begins_a_formula_and_none_is_lost(text: str) -> None:
    """OWASP ASVS 5.0.0, 1.2.10: = + - @, tab, carriage return and NUL at the beginning."""
    safe = str(exports.cell(text))
    assert safe[:1] not in {"=", "+", "-", "@", "\t", "\r", "\0"}
    shown = "".join(map(sign_for, text))
    assert safe in {shown, f"'{shown}"}


def sign_for(character: str) -> str:
    """Return what stands for a character: for a control one its picture (Unicode block 2400)."""
    if character < " " and character not in "\t\n\r":
        return chr(0x2400 + ord(character))
    lost = character in "\ufffe\uffff" or "\ud800" <= character <= "\udfff"
    return "\u2421" if character == "\x7f" else "\ufffd" if lost else character


@given(st.integers() | st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_stay_numbers(number: float) -> None:
    assert exports.cell(number) == number


@given(st.text(st.characters(codec="utf-8"), max_size=300))
def test_a_file_name_fits_a_header_and_a_disk(name: str) -> None:
    found = exports.file_name(a_record(student=name), "pdf")
    assert found.isascii()
    assert found.endswith("7QK4-MB2X.pdf")
    assert len(found) < 100
    assert not set(found) & set('/\\"\r\n;:')
