"""Many documents bound into one PDF as they are made."""

import io
from datetime import UTC, datetime
from typing import Any

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coursework.exports.paper import AttachedFile
from coursework.exports.pdf_syntax import renumbered
from coursework.exports.pdf_volume import Volume
from tests.coursework import pdfs

pytestmark = [pytest.mark.pdf, pytest.mark.usefixtures("loud")]

NOON = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
PAGE = """<html lang="en"><head><title>{title}</title></head><body><h1>{title}</h1>
<h2>First</h2><table><tr><th scope="col">Metal</th><th scope="col">mm</th></tr>
<tr><td>5052 (12 0 R)</td><td>3</td></tr></table><h2 style="break-before: page">Second</h2>
<svg width="9" height="9"><title>A square of {title}</title><path d="M0 0h9v9H0z"/></svg>
<p>Read <a href="https://weldlog.example/">more</a>.</p></body></html>"""
TITLES = ("Ansa (Quill)", "Bero Tansy \\ 7 0 R", "Cilla Rook ✓")


def bound(*titles: str) -> bytes:
    out = io.BytesIO()
    volume = Volume(out)
    for number, title in enumerate(titles):
        file = AttachedFile(f"{9 - number}.json", title.encode(), "As data", NOON)
        assert volume.add(PAGE.format(title=title), attached=[file]) == 2
    volume.close()
    return out.getvalue()


def test_the_pages_follow_one_another() -> None:
    made = bound(*TITLES)
    assert pdfs.faults(made) == []
    pages = [page.extract_text() for page in pdfs.read(made).pages]
    assert len(pages) == 6
    for number, title in enumerate(TITLES):
        assert title in pages[2 * number]
        assert "Second" in pages[2 * number + 1]
    assert "5052 (12 0 R)" in pages[4]


def test_the_file_is_titled_by_its_first_document() -> None:
    with pdfs.opened(bound(*TITLES)) as pdf:
        assert pdf.docinfo.Title == TITLES[0]
        assert str(pdf.Root.Lang) == "en"
        assert bool(pdf.Root.MarkInfo.Marked)
        assert b'pdfuaid:part="1"' in pdf.Root.Metadata.read_bytes()


def test_the_outline_has_an_entry_a_document_with_its_sections_folded() -> None:
    made = bound(*TITLES)
    expected = [
        entry
        for number, title in enumerate(TITLES)
        for entry in (
            (1, title, 2 * number + 1),
            (2, "First", 2 * number + 1),
            (2, "Second", 2 * number + 2),
        )
    ]
    assert pdfs.bookmarks(made) == expected
    with pdfs.opened(made) as pdf:
        assert pdf.Root.Outlines.Count == len(TITLES)


def test_every_file_is_attached_and_found_by_its_name() -> None:
    made = bound(*TITLES)
    assert pdfs.attached(made) == {f"{9 - n}.json": each.encode() for n, each in enumerate(TITLES)}
    with pdfs.opened(made) as pdf:
        names = [str(each) for each in pdf.Root.Names.EmbeddedFiles.Names[::2]]
        # A name tree is sorted (ISO 32000-1, 7.9.6).
        assert names == sorted(names)
        assert len(pdf.Root.AF) == len(TITLES)


def test_each_document_is_a_part_of_one_structure() -> None:
    made = bound(*TITLES)
    with pdfs.opened(made) as pdf:
        (document,) = pdf.Root.StructTreeRoot.K
        assert [str(each.S) for each in (document, *document.K)] == ["/Document", *["/Part"] * 3]
        assert all(each.P.objgen == document.objgen for each in document.K)
        said = [str(each.Alt) for each in pdfs.elements(pdf, "/Figure")]
    assert said == [f"A square of {each}" for each in TITLES]


def test_marked_content_of_every_page_finds_its_element() -> None:
    """ISO 32000-1, 14.7.4.4: a page's key leads through the parent tree to its elements."""
    with pdfs.opened(bound(*TITLES)) as pdf:
        tree = dict(pikepdf.NumberTree(pdf.Root.StructTreeRoot.ParentTree).items())
        for page in pdf.pages:
            elements = tree[int(page.StructParents)]
            assert all(each.Pg.objgen == page.objgen for each in elements)
            for note in page.get("/Annots", []):
                assert tree[int(note.StructParent)].S == "/Link"
        assert max(tree) < pdf.Root.StructTreeRoot.ParentTreeNextKey


def test_headings_of_one_document_are_not_mistaken_for_those_of_another() -> None:
    made = bound(*TITLES)
    with pdfs.opened(made) as pdf:
        headings = dict(pikepdf.NameTree(pdf.Root.StructTreeRoot.IDTree).items())
        assert len(headings) == 2 * len(TITLES)
        pages: dict[Any, int] = {page.objgen: number // 2 for number, page in enumerate(pdf.pages)}
        cells = pdfs.elements(pdf, "/TD")
        assert len(cells) == 6
        for number, cell in enumerate(cells):
            (key,) = cell.A.Headers
            assert pages[headings[str(key)].Pg.objgen] == number // 2


def test_equal_documents_give_equal_bytes() -> None:
    assert bound(*TITLES) == bound(*TITLES)
    assert bound(*TITLES) != bound(*TITLES[::-1])


def test_one_document_alone_is_a_volume_too() -> None:
    assert pdfs.faults(bound(TITLES[0])) == []


@given(st.text(st.characters(codec="latin-1", exclude_characters="()\\")), st.integers(1, 10**6))
def test_a_reference_moves_and_a_text_like_one_does_not(text: str, base: int) -> None:
    text_part = b"(%b 5 0 R \\( 6 0 R \\\\)" % text.encode("latin-1")
    before = b"<</Title %b/P 5 0 R/Kids [7 0 R 8 0 R]/Up 2 1 R>>" % text_part
    after = b"<</Title %b/P %d 0 R/Kids [%d 0 R %d 0 R]/Up 2 0 R>>"
    assert renumbered(before, base) == after % (text_part, 5 + base, 7 + base, 8 + base)
