"""A coupon log as JSON: as its schema says, times in UTC, every text whole."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from coursework.exports.files import OWN_FILES, SECTION_FILES
from coursework.models import Coupon, Enrolment, Exercise, Section, User
from tests.coursework.hostile import HOSTILE
from tests.coursework.logs import log_hostile_section, own_file, section_file
from tests.coursework.records import log_mini_term
from tests.factories import EnrolmentFactory

CONTRACT = Path(__file__).parents[1] / "contract"


def read(made: bytes) -> dict[str, Any]:
    """Return a log, which is as its schema says."""
    document: dict[str, Any] = json.loads(made)
    for name, part in (("coupon_log", [document]), ("coupon", _stated(document))):
        schema = json.loads((CONTRACT / f"{name}.schema.json").read_text(encoding="utf-8"))
        for each in part:
            jsonschema.validate(each, schema, format_checker=jsonschema.FormatChecker())
    return document


def _stated(document: dict[str, Any]) -> list[dict[str, Any]]:
    return [each["stated"] for each in document["coupons"]]


@pytest.fixture
def coupons(enrolment: Enrolment, exercise: Exercise, instructor: User) -> list[Coupon]:
    """Six graded coupons, one that was withdrawn and one that waits; see ``records``."""
    return log_mini_term(enrolment, exercise, instructor)


@pytest.mark.postgres
def test_a_section_is_whole_as_its_schema_says(
    coupons: list[Coupon], section: Section, instructor: User, tmp_path: Path
) -> None:
    log = read(section_file("coupons.json", section, instructor, tmp_path))
    assert [each["number"] for each in log["coupons"]] == [1, 2, 3, 4, 5, 6, 7, 8]
    assert [each["state"] for each in log["coupons"][5:]] == ["accepted", "withdrawn", "handed_in"]
    (enrolment,) = log["enrolments"]
    assert (enrolment["student"], enrolment["term"]) == ("Ansa Quill", "Fall 2026")
    assert enrolment["exercises"][0]["state"] == "competent"
    assert {each["enrolment_id"] for each in log["coupons"]} == {enrolment["id"]}
    first = log["coupons"][0]
    assert first["id"] == str(coupons[0].public_id)
    # 16:00 UTC, as it was handed in; see ``records.FIRST_DAY``.
    assert first["handed_in_at"] == "2026-08-24T16:00:00Z"
    # 150 mm in 50 s.
    assert first["figures"]["travel_speed_mm_s"] == 3.0
    assert {each["level"] for each in first["grades"][0]["scores"]} == {2}
    assert first["findings"]


def test_a_student_has_the_own_log_of_every_section(
    coupons: list[Coupon], other_section: Section, student: User, classmate: User, tmp_path: Path
) -> None:
    EnrolmentFactory.create(section=other_section, user=student)
    log = read(own_file("coupons.json", student, tmp_path))
    assert sorted(each["section"] for each in log["enrolments"]) == ["A", "B"]
    assert {each["student"] for each in log["enrolments"]} == {str(student)}
    assert len(log["coupons"]) == len(coupons) + 1


def test_an_empty_section_is_a_log_without_coupons(
    section: Section, instructor: User, tmp_path: Path
) -> None:
    log = read(section_file("coupons.json", section, instructor, tmp_path))
    assert (log["enrolments"], log["coupons"]) == ([], [])


def test_hostile_text_is_exact(section: Section, instructor: User, tmp_path: Path) -> None:
    log_hostile_section(section, instructor)
    log = json.loads(section_file("coupons.json", section, instructor, tmp_path))
    assert tuple(each["grades"][0]["comment"] for each in log["coupons"]) == HOSTILE
    assert tuple(each["remark"] for each in log["coupons"]) == HOSTILE
    assert tuple(each["check_tests"][0]["note"] for each in log["coupons"]) == HOSTILE


def test_equal_logs_give_equal_bytes(
    coupons: list[Coupon], section: Section, instructor: User, tmp_path: Path
) -> None:
    first, second = (section_file("coupons.json", section, instructor, tmp_path) for _ in range(2))
    assert first == second


@pytest.mark.parametrize("name", SECTION_FILES)
def test_whoever_waits_is_told_how_far_a_file_is(
    name: str, coupons: list[Coupon], section: Section, tmp_path: Path
) -> None:
    told: list[tuple[int, int]] = []
    SECTION_FILES[name].write(section, tmp_path / "made", lambda *step: told.append(step))
    assert told[0][0] == 0
    done, of = told[-1]
    assert done == of > 0


@pytest.mark.parametrize("name", ["coupons.csv", "coupons.json", "workbook.xlsx"])
def test_a_file_that_is_called_off_ends_at_once(
    name: str, coupons: list[Coupon], section: Section, tmp_path: Path
) -> None:
    def stop(_done: int, _of: int) -> None:
        raise InterruptedError

    with pytest.raises(InterruptedError):
        SECTION_FILES[name].write(section, tmp_path / "made", stop)


def test_own_files_are_those_of_a_student_alone(
    coupons: list[Coupon], classmate: User, tmp_path: Path
) -> None:
    for name in OWN_FILES:
        assert str(coupons[0].public_id).encode() not in own_file(name, classmate, tmp_path)
