"""A section's coupons as CSV and as a workbook, read back by other programs."""

import csv
import io
import re
import zipfile
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils.escape import unescape
from openpyxl.workbook import Workbook as ReadWorkbook

from coursework.exports import columns
from coursework.exports.workbook import LONGEST_CELL, Workbook, fitting
from coursework.models import CorrectionRequest, Coupon, Enrolment, Exercise, Section, User
from tests.coursework.hostile import HOSTILE
from tests.coursework.logs import log_hostile_section, queries_of, section_file
from tests.factories import clean_document, grade_coupon, hand_in_coupon

# 15:00 UTC on September 14 is 10:00 in Chicago, which is then five hours behind (tz database).
AT = datetime(2026, 9, 14, 15, 0, tzinfo=UTC)
AT_SCHOOL = datetime(2026, 9, 14, 10, 0)  # noqa: DTZ001 - a spreadsheet knows no zones
PICTURES = {
    "\x00": "\u2400",
    "\x07": "\u2407",
    "\x1b": "\u241b",
    "\x7f": "\u2421",
    "\ufffe": "\ufffd",
    "\uffff": "\ufffd",
}


def shown(text: str) -> str:
    """Return hostile text with the signs that stand for what a file cannot hold."""
    return "".join(PICTURES.get(sign, sign) for sign in text)


def rows_of(table: bytes) -> list[dict[str, str]]:
    assert table.startswith(b"\xef\xbb\xbf")
    return list(csv.DictReader(io.StringIO(table.decode("utf-8-sig"), newline=""), strict=True))


def opened(data: bytes) -> ReadWorkbook:
    return openpyxl.load_workbook(io.BytesIO(data))


def sheet(data: bytes, title: str) -> list[dict[str, Any]]:
    head, *rows = opened(data)[title].iter_rows(values_only=True)
    return [dict(zip(head, row, strict=True)) for row in rows]


@pytest.fixture
def faulty(enrolment: Enrolment, exercise: Exercise, instructor: User) -> Coupon:
    """A coupon with findings, imperfections and two unlike pieces, returned with words."""
    document = clean_document(exercise, polarity="DCEN", filler=None) | {"filler": None}
    document["base_metals"] = [
        {"alloy": "5052", "temper": "H32", "thickness_mm": 3.2},
        {"alloy": "6061", "temper": "T6", "thickness_mm": 6.4},
    ]
    document["imperfections"] = [{"number": "2017", "size_mm": 1.2}, {"number": "104"}]
    coupon = hand_in_coupon(enrolment, exercise, document, at=AT)
    grade_coupon(coupon, instructor, level=2, decision="returned", comment="Again.", at=AT)
    return coupon


def test_a_coupon_is_a_row_with_units_in_the_names(
    faulty: Coupon, section: Section, instructor: User, tmp_path: Path
) -> None:
    (row,) = rows_of(section_file("coupons.csv", section, instructor, tmp_path))
    assert list(row) == list(columns.COUPONS)
    assert (row["student"], row["coupon"], row["coupon_id"]) == (
        "Ansa Quill",
        "1",
        str(faulty.public_id),
    )
    assert (row["base_metal_1"], row["base_metal_2"]) == ("5052-H32", "6061-T6")
    assert (row["thickness_1_mm"], row["thickness_2_mm"]) == ("3.2", "6.4")
    assert (row["filler"], row["polarity"], row["current_a"]) == ("none", "DCEN", "135.0")
    # 150 mm in 37.5 s are 4 mm/s; 14 V times 135 A over 4 mm/s are 472.5 J/mm.
    assert (row["travel_speed_mm_s"], row["arc_energy_kj_mm"]) == ("4.0", "0.4725")
    assert (row["imperfections"], row["cleaning_steps"]) == (
        "2017, 104",
        "degrease, dry, remove_oxide",
    )
    assert (row["state"], row["level"], row["comment"]) == ("returned", "2", "Again.")
    assert "not a welder qualification" in row["note"]


def test_times_are_those_of_the_school_in_every_table(
    faulty: Coupon, section: Section, instructor: User, tmp_path: Path
) -> None:
    (row,) = rows_of(section_file("coupons.csv", section, instructor, tmp_path))
    assert (row["handed_in_at"], row["time_zone"]) == ("2026-09-14 10:00:00", "America/Chicago")
    made = section_file("workbook.xlsx", section, instructor, tmp_path)
    assert sheet(made, "coupons")[0]["handed_in_at"] == AT_SCHOOL
    assert sheet(made, "grades")[0]["graded_at"] == AT_SCHOOL
    joined = sheet(made, "students")[0]["joined_on"]
    # Joined at 14:00 UTC on August 24.
    assert joined.date() == date(2026, 8, 24)


def test_the_workbook_has_a_sheet_for_each_kind_of_row(
    faulty: Coupon, section: Section, instructor: User, tmp_path: Path
) -> None:
    made = section_file("workbook.xlsx", section, instructor, tmp_path)
    book = opened(made)
    assert book.sheetnames == [
        "students",
        "exercises",
        "coupons",
        "findings",
        "grades",
        "scores",
        "check tests",
        "about",
    ]
    assert all(each.freeze_panes == "B2" for each in book.worksheets[:-1])
    (coupon,) = sheet(made, "coupons")
    assert coupon["student_number"] == faulty.enrolment.user.student_number
    assert (coupon["current_a"], coupon["level"], coupon["graded_by"]) == (135, 2, "Odo Hale")
    assert coupon["stops"] == sum(row["severity"] == "stop" for row in sheet(made, "findings"))
    (grade,) = sheet(made, "grades")
    assert (grade["decision"], grade["weighted"]) == ("returned", 2)
    assert {row["level"] for row in sheet(made, "scores")} == {2}
    said = [row[1] for row in book["about"].iter_rows(values_only=True)]
    assert any("not a welder qualification" in str(each) for each in said)


def test_every_column_of_the_workbook_is_explained(
    faulty: Coupon, section: Section, instructor: User, tmp_path: Path
) -> None:
    book = opened(section_file("workbook.xlsx", section, instructor, tmp_path))
    explained = {row[0] for row in book["about"].iter_rows(values_only=True) if row[1]}
    for each in book.worksheets[:-1]:
        assert {cell.value for cell in each[1]} <= explained


def test_ids_are_text_also_where_they_are_made_of_digits(
    faulty: Coupon, section: Section, instructor: User, tmp_path: Path
) -> None:
    User.objects.filter(pk=faulty.enrolment.user_id).update(student_number="007")
    cell = opened(section_file("workbook.xlsx", section, instructor, tmp_path))["students"]["B2"]
    assert (cell.value, cell.number_format) == ("007", "@")


@pytest.mark.postgres
def test_equal_tables_give_equal_bytes(
    faulty: Coupon, section: Section, instructor: User, tmp_path: Path
) -> None:
    for name in ("workbook.xlsx", "coupons.csv", "exercises.csv"):
        first, second = (section_file(name, section, instructor, tmp_path) for _ in range(2))
        assert first == second, name


def test_what_is_held_or_taken_back_is_in_no_table(
    coupon: Coupon, section: Section, instructor: User, tmp_path: Path
) -> None:
    held = grade_coupon(coupon, instructor, level=4)
    held.released_at = None
    held.save()
    Coupon.objects.filter(pk=coupon.pk).update(state=Coupon.State.HELD, grade=None)
    coupon.check_results.create(
        number=1, kind="saw", passed=True, tested_by=instructor, tested_at=AT
    )
    (row,) = rows_of(section_file("coupons.csv", section, instructor, tmp_path))
    assert (row["state"], row["level"], row["comment"]) == ("waiting for a grade", "", "")
    made = section_file("workbook.xlsx", section, instructor, tmp_path)
    assert [sheet(made, each) for each in ("grades", "scores", "check tests")] == [[], [], []]
    Coupon.objects.filter(pk=coupon.pk).update(state=Coupon.State.HANDED_IN)
    held.released_at = held.undone_at = AT
    held.save()
    assert sheet(section_file("workbook.xlsx", section, instructor, tmp_path), "grades") == []


def test_a_statement_goes_with_the_coupon_the_exercise_and_the_student(
    faulty: Coupon, section: Section, instructor: User, tmp_path: Path
) -> None:
    CorrectionRequest.objects.create(
        enrolment=faulty.enrolment,
        coupon=faulty,
        about="Coupon 1",
        what="It was 3 mm.",
        asked_at=AT,
        decision="declined",
        reason="Measured.",
        decided_by=instructor,
        decided_at=AT,
        statement="I measured as well.",
        stated_at=AT,
    )
    made = section_file("workbook.xlsx", section, instructor, tmp_path)
    for title in ("students", "exercises", "coupons"):
        assert [row["statement"] for row in sheet(made, title)] == ["I measured as well."]
    (row,) = rows_of(section_file("exercises.csv", section, instructor, tmp_path))
    assert row["statement"] == "I measured as well."


# --- hostile text


def as_cell(text: str) -> str:
    """Return text as the CSV for a spreadsheet is to hold it."""
    safe = shown(text)
    return f"'{safe}" if safe[0] in "=+-@\t" else safe


def test_hostile_text_is_whole_and_begins_no_formula_in_a_csv(
    section: Section, instructor: User, tmp_path: Path
) -> None:
    coupons = log_hostile_section(section, instructor)
    rows = rows_of(section_file("coupons.csv", section, instructor, tmp_path))
    assert [row["comment"] for row in rows] == [as_cell(text) for text in HOSTILE]
    assert [row["remark"] for row in rows] == [as_cell(text) for text in HOSTILE]
    assert [row["base_metal_1"] for row in rows] == [as_cell(text[:24]) for text in HOSTILE]
    assert [row["student"] for row in rows] == [
        as_cell(str(coupon.enrolment.user)) for coupon in coupons
    ]
    starts = {value[:1] for row in rows for value in row.values()}
    assert not starts & set("=+-@\t\r\n\0")


def test_hostile_text_is_whole_and_only_text_in_a_workbook(
    section: Section, instructor: User, tmp_path: Path
) -> None:
    log_hostile_section(section, instructor)
    made = section_file("workbook.xlsx", section, instructor, tmp_path)
    # A line break in a cell is a line feed; the escape of XML's own is undone by whoever reads.
    wanted = [shown(re.sub("\r\n?", "\n", text)) for text in HOSTILE]
    for title, column in (("coupons", "comment"), ("grades", "comment"), ("check tests", "showed")):
        assert [unescape(row[column]) for row in sheet(made, title)] == wanted
    for each in opened(made).worksheets:
        kinds = {cell.data_type for row in each.iter_rows() for cell in row}
        assert kinds <= {"s", "inlineStr", "n", "b", "d"}
        assert not any(cell.hyperlink for row in each.iter_rows() for cell in row)
    with zipfile.ZipFile(io.BytesIO(made)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    assert not any(b"<f>" in part or b"TargetMode" in part for part in parts.values())


def test_a_cell_that_is_too_long_says_so_and_is_not_left_empty() -> None:
    """A cell of Excel holds 32,767 signs, counted in UTF-16 (from memory)."""
    for sign, width in (("W", 1), ("\U0001f525", 2)):
        kept = fitting(sign * (LONGEST_CELL // width))
        assert kept == sign * (LONGEST_CELL // width)
        cut = fitting(sign * (LONGEST_CELL // width + 1))
        assert len(cut.encode("utf-16-le")) // 2 <= LONGEST_CELL
        assert cut.startswith(sign * 16_000)
        assert "cut here" in cut[-120:]


def test_values_that_no_cell_can_hold_are_written_as_text(tmp_path: Path) -> None:
    path = tmp_path / "made"
    with Workbook(path, {"a": {"value": "x"}}, {"What": "x"}, "") as book:
        for value in (float("inf"), float("nan"), date(1776, 7, 4), True, 0.1):
            book.add("a", {"value": value})
    values = [row["value"] for row in sheet(path.read_bytes(), "a")]
    assert values == ["inf", "nan", "1776-07-04", True, 0.1]


def test_of_a_workbook_that_was_not_finished_nothing_is_left(tmp_path: Path) -> None:
    path = tmp_path / "made"
    with pytest.raises(KeyError), Workbook(path, {"a": {"value": "x"}}, {}, "") as book:
        book.add("a", {})
    assert list(tmp_path.iterdir()) == []


# --- what it costs


@pytest.mark.parametrize("name", ["workbook.xlsx", "coupons.csv", "coupons.json", "exercises.csv"])
def test_a_file_costs_the_same_queries_for_any_number_of_coupons(
    name: str,
    enrolment: Enrolment,
    exercise: Exercise,
    section: Section,
    instructor: User,
    tmp_path: Path,
) -> None:
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    one = queries_of(name, section, instructor, tmp_path)
    for _ in range(6):
        grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    assert queries_of(name, section, instructor, tmp_path) == one
    assert one <= 20
