"""An issued record on paper: readable, complete, equal every time, and deaf to hostile text."""

import base64
import io
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from PIL import Image

from coursework import exports
from coursework.exports import paper
from coursework.record import TermRecord, to_master
from coursework.record_photos import RecordPhoto
from tests.coursework import pdfs
from tests.coursework.records import HOSTILE, a_record

pytestmark = pytest.mark.pdf

ADDRESS = "https://weldlog.example/records/7QK4-MB2X/"
SHA = "3f9ac1d708be5521" * 4


def full_record() -> TermRecord:
    """A record of several pages: forty coupons."""
    plain = a_record()
    coupons = tuple(replace(plain.coupons[0], number=number) for number in range(1, 41))
    return replace(plain, coupons=coupons)


def a_photo() -> RecordPhoto:
    made = io.BytesIO()
    Image.new("RGB", (32, 24), "gray").save(made, "JPEG")
    address = "data:image/jpeg;base64," + base64.b64encode(made.getvalue()).decode()
    return RecordPhoto(6, "1 Tee", "Even legs", address)


@pytest.mark.usefixtures("loud")
def test_it_reads_in_the_order_of_the_sheet() -> None:
    text = pdfs.text(exports.pdf(full_record(), SHA, ADDRESS))
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
        "Corrections asked for",
        "I only held the bottle.",
        "Figures and how steady they are",
        "4.0 ± 1.3",
        "Arc time 1 h 31 min",
        "1 of 7 coupons had a safety stop",
        "Do not do it here.",
        "Check tests",
        "One small opening.",
        "Even ripples.",
        "All coupons",
        "What this rests on",
        SHA,
    )
    places = [text.index(each) for each in order]
    assert places == sorted(places)


@pytest.mark.usefixtures("loud")
def test_every_page_has_its_number_the_record_number_and_the_wording() -> None:
    made = exports.pdf(full_record(), SHA, ADDRESS)
    pages = [" ".join(page.extract_text().split()) for page in pdfs.read(made).pages]
    assert len(pages) > 1
    for number, text in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in text
        assert "Tern Harbor Technical Institute" in text
        assert "7QK4-MB2X, issue 1, fingerprint 3f9a c1d7 08be 5521" in text
        assert "not a welder qualification" in text


@pytest.mark.usefixtures("loud")
def test_the_heads_of_a_long_table_stand_on_every_page() -> None:
    made = exports.pdf(full_record(), SHA, ADDRESS)
    texts = [page.extract_text() for page in pdfs.read(made).pages]
    with_coupons = [text for text in texts if "\n5052" in text or "good, OH" in text]
    assert len(with_coupons) > 1
    assert all("Handed in" in " ".join(text.split()) for text in with_coupons)


@pytest.mark.usefixtures("loud")
def test_it_is_tagged_titled_and_in_a_language() -> None:
    """What PDF/UA-1 asks for, as far as it can be read from the file (ISO 14289-1, clause 7)."""
    made = exports.pdf(a_record(), SHA, ADDRESS, photos=[a_photo()])
    assert pdfs.faults(made) == []
    with pdfs.opened(made) as pdf:
        assert bool(pdf.Root.MarkInfo.Marked)
        assert str(pdf.Root.Lang) == "en-us"
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        assert pdf.docinfo.Title == "Term record, Fall 2026: Ansa Quill"
        assert b'pdfuaid:part="1"' in pdf.Root.Metadata.read_bytes()
        assert all(page.Tabs == "/S" for page in pdf.pages)
        figures = pdfs.elements(pdf, "/Figure")
        said = [str(each.get("/Alt", "")) for each in figures]
        kinds = {str(each.S) for each in pdfs.structure(pdf.Root.StructTreeRoot)}
    assert "" not in said
    assert f"QR code: {ADDRESS}" in said
    assert "Photo of coupon 6, 1 Tee. Even legs" in said
    assert "Cleaning in order, percent: 50 in week 1, 100 in week 3" in said
    assert {"/H1", "/H2", "/Table", "/THead", "/TH", "/TD"} <= kinds


@pytest.mark.usefixtures("loud")
def test_every_cell_finds_its_headings() -> None:
    """ISO 32000-1, 14.8.5.7 and Table 322: a cell names headings, and IDTree leads to them."""
    made = exports.pdf(a_record(), SHA, ADDRESS)
    with pdfs.opened(made) as pdf:
        tree = pdf.Root.StructTreeRoot.IDTree.Names
        keys = [bytes(each) for each in tree[::2]]
        assert keys == sorted(set(keys))
        assert all(each.S == "/TH" for each in tree[1::2])
        cells = pdfs.elements(pdf, "/TD")
        named = [bytes(key) for each in cells for key in each.A.get("/Headers", [])]
    assert named
    assert set(named) <= set(keys)


@pytest.mark.usefixtures("loud")
def test_the_outline_leads_to_every_section() -> None:
    titles = [title for _depth, title, _page in pdfs.bookmarks(exports.pdf(a_record(), SHA))]
    assert titles[0] == "Ansa Quill"
    assert {"Figures and how steady they are", "Safety stops", "All coupons"} <= set(titles)
    assert not [each for each in titles if each.endswith("%")]


@pytest.mark.usefixtures("loud")
def test_the_master_travels_along_byte_for_byte() -> None:
    made = exports.pdf(a_record(), SHA, ADDRESS)
    assert pdfs.attached(made) == {"7QK4-MB2X.json": to_master(a_record()).encode()}
    with pdfs.opened(made) as pdf:
        (spec,) = pdf.Root.AF
        assert spec.AFRelationship == "/Data"
        assert spec.EF.F.Params.ModDate == "D:20261120173000Z"


@pytest.mark.usefixtures("loud")
def test_a_preview_has_no_file_in_it() -> None:
    made = exports.pdf(a_record(issue=None))
    assert pdfs.attached(made) == {}
    assert "not issued" in pdfs.text(made)


# A4 is 210 by 297 mm (ISO 216), Letter 8.5 by 11 in.
@pytest.mark.parametrize(("size", "mm"), [("A4", (210, 297)), ("letter", (215.9, 279.4))])
@pytest.mark.usefixtures("loud")
def test_the_page_is_of_the_size_asked_for(size: Any, mm: tuple[float, float]) -> None:
    page = pdfs.read(exports.pdf(a_record(), SHA, ADDRESS, page_size=size)).pages[0]
    assert pdfs.page_mm(page) == pytest.approx(mm, abs=0.1)


AGAIN = """
import sys, django
django.setup()
from coursework import exports
from tests.coursework.records import a_record
exports.pdf(a_record(student="Somebody else"))
sys.stdout.buffer.write(exports.pdf(a_record(), sys.argv[1], sys.argv[2]))
"""


@pytest.mark.usefixtures("loud")
def test_equal_records_give_equal_bytes_in_another_process_after_other_work() -> None:
    """Fonts and style sheets are kept from one print to the next; no print shows it."""
    made = exports.pdf(a_record(), SHA, ADDRESS)
    assert exports.pdf(a_record(), SHA, ADDRESS) == made
    again = [sys.executable, "-c", AGAIN, SHA, ADDRESS]
    assert subprocess.run(again, capture_output=True, check=True).stdout == made


@pytest.mark.parametrize("hostile", HOSTILE)
@pytest.mark.usefixtures("loud")
def test_hostile_text_is_printed_whole_and_does_nothing(hostile: str) -> None:
    plain = a_record()
    assert plain.safety
    record = replace(
        plain,
        student=hostile,
        course_title=hostile,
        comments=(replace(plain.comments[0], text=hostile),),
        coupons=(replace(plain.coupons[0], metal=hostile),),
        corrections=(replace(plain.corrections[0], statement=hostile),),
        check_tests=(replace(plain.check_tests[0], note=hostile),),
        exercises=(replace(plain.exercises[0], title=hostile, signed_by=hostile),),
    )
    made = exports.pdf(record, SHA, ADDRESS)
    assert pdfs.faults(made) == []
    assert list(pdfs.attached(made)) == ["7QK4-MB2X.json"]
    assert pdfs.read(made).metadata.title == f"Term record, Fall 2026: {hostile}"  # type: ignore[union-attr]
    text = "".join(pdfs.text(made).split())
    assert "root:x:" not in text
    assert text.count("".join(seen(hostile))) >= 6
    with pdfs.opened(made) as pdf:
        assert not [page for page in pdf.pages if "/Annots" in page or "/AA" in page]
        assert not {"/OpenAction", "/AA", "/AcroForm"} & set(pdf.Root.keys())
        assert "/JavaScript" not in pdf.Root.Names


def seen(hostile: str) -> Iterator[str]:
    """Yield what a reader of the page sees of a text: no spaces, no invisible signs.

    What stands between right-to-left override and its end is drawn the other way round.
    """
    if hostile.startswith("\u202e"):
        yield from "OpenburyRTL"
        return
    yield from (each for each in hostile if each.isprintable() and not each.isspace())


@pytest.mark.usefixtures("loud")
def test_a_name_written_from_the_right_leaves_the_record_number_alone() -> None:
    made = exports.pdf(a_record(student="שלום עלי"), SHA, ADDRESS)
    (page, *_rest) = pdfs.read(made).pages
    assert "7QK4-MB2X, issue 1, fingerprint" in " ".join(page.extract_text().split())


def test_the_library_opens_nothing_even_if_it_is_told_to() -> None:
    """WeasyPrint's own fetcher would have embedded the file."""
    page = """<html lang="en"><title>x</title><link rel="attachment" href="file:///etc/passwd">
        <link rel="stylesheet" href="file:///etc/passwd"><base href="file:///etc/">
        <p>seen</p></html>"""
    made = paper.write_pdf(page, "@import url('file:///etc/passwd');")
    assert "seen" in pdfs.text(made)
    assert pdfs.attached(made) == {}
