"""The records of a section in one file: matrix first, then each student; or a zip."""

import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pytest_django import DjangoAssertNumQueries

from coursework import access, issuing, section_issuing
from coursework.export_writing import NotMade
from coursework.models import (
    Enrolment,
    Exercise,
    IssuedRecord,
    IssuedSectionRecord,
    Section,
    User,
)
from coursework.record_checking import check_path
from coursework.section_file import write_section_pdf, write_section_zip
from tests.coursework import pdfs
from tests.coursework.records import HOSTILE, log_mini_term, tampered
from tests.factories import grade_coupon, hand_in_coupon

SITE = "https://weldlog.example"
NOON = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)


def no_progress(_done: int, _of: int) -> None:
    pass


def issue(section: Section, by: User, after: int = 0) -> IssuedSectionRecord:
    found = access.enrolments(by).filter(section=section, left_at=None)
    students = list(found.order_by("user__last_name"))
    return section_issuing.issue(section, students, by, NOON, after_issue=after)


@pytest.fixture
def issued(
    enrolment: Enrolment, classmate: User, exercise: Exercise, instructor: User, section: Section
) -> IssuedSectionRecord:
    """The record of a section of two; that of the first was issued again, with two more coupons."""
    log_mini_term(enrolment, exercise, instructor)
    issue(section, instructor)
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    return issue(section, instructor, after=1)


def newest() -> list[IssuedRecord]:
    """The records that a section file has in it, in their order."""
    records = IssuedRecord.objects.order_by("enrolment__user__last_name", "-issue")
    return list({each.enrolment_id: each for each in reversed(records)}.values())[::-1]


@pytest.mark.pdf
@pytest.mark.usefixtures("loud")
def test_the_matrix_comes_first_then_each_student(
    issued: IssuedSectionRecord, section: Section, tmp_path: Path
) -> None:
    told: list[tuple[int, int]] = []
    to = tmp_path / "section.pdf"
    write_section_pdf(section, to, lambda done, of: told.append((done, of)), site=SITE)
    made = to.read_bytes()
    assert pdfs.faults(made) == []
    assert told == [(1, 2), (2, 2)]
    students = [title for depth, title, _page in pdfs.bookmarks(made) if depth == 1]
    assert students == ["ALW 12, Section A", "Ansa Quill", "Ansa Tansy"]
    matrix = " ".join(pdfs.read(made).pages[0].extract_text().split())
    assert "2 students, 1 competent in every exercise." in matrix
    prints: list[IssuedRecord | IssuedSectionRecord] = [issued, *newest()]
    assert [each.issue for each in prints] == [2, 2, 1]
    assert pdfs.attached(made) == {f"{each.code}.json": each.master.encode() for each in prints}
    for each in prints:
        assert each.code in matrix
        assert f"{SITE}{check_path(each)}" in pdfs.words(made)
    for page in pdfs.read(made).pages:
        assert "not a welder qualification" in " ".join(page.extract_text().split())


@pytest.mark.pdf
@pytest.mark.usefixtures("loud")
def test_the_zip_has_a_pdf_and_the_master_of_each_student(
    issued: IssuedSectionRecord, section: Section, tmp_path: Path
) -> None:
    to = tmp_path / "section.zip"
    write_section_zip(section, to, no_progress, site=SITE)
    ansa = f"term-record-ansa-quill-{newest()[0].code}"
    with zipfile.ZipFile(to) as archive:
        names = archive.namelist()
        assert names[:3] == [
            f"section-record-{issued.code}.pdf",
            f"section-record-{issued.code}.json",
            f"{ansa}.pdf",
        ]
        assert len(names) == 6
        assert archive.read(f"{ansa}.json") == newest()[0].master.encode()
        assert pdfs.faults(archive.read(f"{ansa}.pdf")) == []
        assert {each.date_time for each in archive.infolist()} == {(2026, 11, 20, 18, 0, 0)}
        assert archive.testzip() is None


@pytest.mark.pdf
def test_equal_records_give_equal_files(
    issued: IssuedSectionRecord, section: Section, tmp_path: Path
) -> None:
    for write in (write_section_pdf, write_section_zip):
        first, second = tmp_path / "first", tmp_path / "second"
        write(section, first, no_progress, site=SITE)
        write(section, second, no_progress, site=SITE)
        assert first.read_bytes() == second.read_bytes()


@pytest.mark.pdf
@pytest.mark.usefixtures("loud")
def test_the_paper_is_that_of_the_school(
    issued: IssuedSectionRecord, section: Section, tmp_path: Path
) -> None:
    section.term.school.settings.units = "metric"
    write_section_pdf(section, tmp_path / "a4.pdf", no_progress, site=SITE)
    section.term.school.settings.units = "shop"
    write_section_pdf(section, tmp_path / "letter.pdf", no_progress, site=SITE)
    sizes = [
        pdfs.page_mm(pdfs.read((tmp_path / name).read_bytes()).pages[-1])
        for name in ("a4.pdf", "letter.pdf")
    ]
    assert sizes == [pytest.approx((210, 297), abs=0.1), pytest.approx((215.9, 279.4), abs=0.1)]


@pytest.mark.pdf
@pytest.mark.usefixtures("loud")
@pytest.mark.parametrize("hostile", HOSTILE[:2] + HOSTILE[3:])
def test_a_hostile_name_is_a_name(
    enrolment: Enrolment, instructor: User, section: Section, tmp_path: Path, hostile: str
) -> None:
    enrolment.user.first_name, enrolment.user.last_name = hostile, "Quill"
    enrolment.user.save()
    issued = issue(section, instructor)
    to = tmp_path / "section.pdf"
    write_section_pdf(section, to, no_progress, site=SITE)
    made = to.read_bytes()
    assert pdfs.faults(made) == []
    codes = [issued.code, *(each.code for each in newest())]
    assert sorted(pdfs.attached(made)) == sorted(f"{code}.json" for code in codes)
    assert pdfs.bookmarks(made)[1][1] == f"{hostile} Quill"


def test_without_an_issued_record_a_sentence_says_what_to_do(
    enrolment: Enrolment, section: Section, tmp_path: Path
) -> None:
    for write in (write_section_pdf, write_section_zip):
        with pytest.raises(NotMade, match="Issue all its records, then ask again"):
            write(section, tmp_path / "file", no_progress, site=SITE)


def test_a_withdrawn_record_is_not_bound_again(
    issued: IssuedSectionRecord, section: Section, instructor: User, tmp_path: Path
) -> None:
    issuing.withdraw(issued, by=instructor, reason="Wrong section.", at=NOON)
    with pytest.raises(NotMade, match=r"withdrawn\. Issue it anew"):
        write_section_pdf(section, tmp_path / "file", no_progress, site=SITE)


def test_no_file_is_made_of_a_master_that_was_changed(
    issued: IssuedSectionRecord, section: Section, tmp_path: Path
) -> None:
    tampered(issued, issued.master.replace("Ansa", "Anna"))
    with pytest.raises(NotMade, match=rf"{issued.code} no longer matches its fingerprint"):
        write_section_zip(section, tmp_path / "file", no_progress, site=SITE)


@pytest.mark.pdf
def test_a_further_student_costs_two_queries(
    issued: IssuedSectionRecord,
    section: Section,
    tmp_path: Path,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    students = 2
    with django_assert_max_num_queries(1 + 2 * students):
        write_section_pdf(section, tmp_path / "section.pdf", no_progress, site=SITE)


@pytest.mark.pdf
def test_progress_can_stop_the_work(
    issued: IssuedSectionRecord, section: Section, tmp_path: Path
) -> None:
    class Stop(Exception):
        pass

    def stop(_done: int, _of: int) -> None:
        raise Stop

    with pytest.raises(Stop):
        write_section_pdf(section, tmp_path / "section.pdf", stop, site=SITE)
