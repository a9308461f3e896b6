"""Sheets of labels: where labels lie in mm, and what stands on them."""

import re
from collections.abc import Callable

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from coursework import exports
from coursework.label_sheets import PAPERS, PRESETS, LabelSheet
from coursework.models import User
from coursework.record_sheet import qr
from coursework.shop_prints import GAP_MM, INSET_MM, LARGEST_QR_MM, Label, labels_pdf, leaves
from tests.coursework.pdfs import page_mm, read, where, words

type ClientOf = Callable[[User], Client]


@pytest.mark.parametrize("name", PRESETS)
def test_an_offered_sheet_fills_its_paper_to_the_edge(name: str) -> None:
    sheet = PRESETS[name]
    width, height = PAPERS[sheet.page]
    left, top = sheet.places()[-1]
    assert left + sheet.width_mm + sheet.right_mm == pytest.approx(width)
    assert top + sheet.height_mm + sheet.bottom_mm == pytest.approx(height)
    assert (list(sheet.faults()), len(sheet.places())) == ([], sheet.count)


# Worked out from the paper by hand: 210 mm less two margins of 7.25 and two gaps of 2.5 leaves
# 190.5 for three; 8.5 in less two of 3/16 in and two gaps of 1/8 in leaves 7 7/8 in for three.
SIZES = {"a4-21": (63.5, 38.1), "letter-30": (66.675, 25.4), "letter-10": (101.6, 50.8)}


@pytest.mark.parametrize("name", SIZES)
def test_a_label_is_what_margins_and_gaps_leave(name: str) -> None:
    assert (PRESETS[name].width_mm, PRESETS[name].height_mm) == pytest.approx(SIZES[name])


@given(
    st.sampled_from(["A4", "letter"]),
    st.integers(1, 10),
    st.integers(1, 4),
    st.lists(st.floats(0, 12), min_size=6, max_size=6),
)
def test_labels_of_any_sheet_lie_on_the_paper_and_never_on_each_other(
    page: exports.PageSize, rows: int, columns: int, lengths: list[float]
) -> None:
    sheet = LabelSheet(page, rows, columns, *lengths)
    if list(sheet.faults()):
        return
    width, height = PAPERS[page]
    places = sheet.places()
    for left, top in places:
        assert left + sheet.width_mm <= width + 1e-6
        assert top + sheet.height_mm <= height + 1e-6
    for left, top in places:
        for other_left, other_top in places:
            beside = abs(left - other_left) >= sheet.width_mm - 1e-6
            below = abs(top - other_top) >= sheet.height_mm - 1e-6
            assert (left, top) == (other_left, other_top) or beside or below


def test_labels_too_small_for_a_code_are_refused() -> None:
    said = next(LabelSheet("A4", 20, 5, 10, 10, 5, 5).faults(), "")
    assert said.startswith("A sheet has at most 80 labels.")
    small = "".join(LabelSheet("A4", 13, 5, 10, 10, 5, 5).faults())
    assert "The labels would be 40.0 × 21.3 mm." in small


@pytest.mark.parametrize(
    ("labels", "start", "expected"),
    [
        (1, 1, [[1]]),
        (3, 21, [[21], [1, 2]]),
        (21, 1, [list(range(1, 22))]),
        (22, 1, [list(range(1, 22)), [1]]),
    ],
)
def test_labels_begin_where_the_sheet_is_not_used_up(
    labels: int, start: int, expected: list[list[int]]
) -> None:
    one = Label("https://weldlog.example/s/1/", "Quill, Ansa", ())
    placed = leaves([one] * labels, 21, start)
    assert [[each["place"] for each in leaf] for leaf in placed] == expected


@pytest.mark.pdf
@pytest.mark.parametrize("name", ["a4-21", "letter-30", "letter-14"])
def test_each_label_is_printed_where_the_sheet_has_it(name: str) -> None:
    sheet = PRESETS[name]
    labels = [
        Label(f"https://weldlog.example/s/{n}/", f"Label{n}", ("ALW 12",))
        for n in range(sheet.count + 1)
    ]
    pages = read(labels_pdf(labels, sheet, start=2)).pages
    assert len(pages) == 2
    assert [page_mm(page) for page in pages] == [pytest.approx(PAPERS[sheet.page], abs=0.1)] * 2
    found = where(pages[0])
    code = min(sheet.height_mm - 2 * INSET_MM, LARGEST_QR_MM)
    for number, (left, top) in enumerate(sheet.places()[1:]):
        x, y = found[f"Label{number}"]
        assert x == pytest.approx(left + INSET_MM + code + GAP_MM, abs=0.3)
        # The text stands on its line, between 2 mm and 6 mm below the upper edge of the label.
        assert top + 2 < y < top + 6
    assert set(where(pages[1])) == {f"Label{sheet.count - 1}", f"Label{sheet.count}", "ALW 12"}


@pytest.mark.pdf
def test_a_label_with_hostile_text_stays_one_label() -> None:
    hostile = Label(
        "https://weldlog.example/s/1/",
        "<link rel=attachment href=file:///etc/passwd>" + "W" * 300,
        ("{{ section }}", "\u202eyrubnepO", "=1+1"),
    )
    reader = read(labels_pdf([hostile], PRESETS["a4-21"]))
    assert (len(reader.pages), reader.attachments) == (1, {})
    assert "<linkrel=attachment" in words(labels_pdf([hostile], PRESETS["a4-21"]))


def test_a_code_on_the_smallest_label_has_modules_of_four_tenths_of_a_millimeter() -> None:
    """Smaller ones are not read by every phone: 0.4 mm is common practice, no source."""
    drawn = qr("https://weldlog.tern-harbor.example/coupons/0f8b7c1e-2222-4d4e-9f63-1234567890ab/")
    found = re.search(r'viewBox="0 0 (\d+) ', drawn)
    assert found
    assert (24 - 2 * INSET_MM) / int(found[1]) >= 0.4
