"""The term record of a section: the matrix, and each student's record by its hash."""

import hashlib
import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import jsonschema
import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from coursework import access, issuing, section_issuing
from coursework.models import (
    Act,
    AuditRow,
    Enrolment,
    Exercise,
    IssuedRecord,
    IssuedSectionRecord,
    User,
)
from coursework.record_section import from_master, to_master
from tests.coursework.records import log_mini_term
from tests.factories import MOMENT, ExerciseFactory, grade_coupon, hand_in_coupon

NOON = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
SCHEMA = Path(__file__).parents[1] / "contract/section_record_1.schema.json"

type ClientOf = Callable[[User], Client]


@pytest.fixture
def mini(
    enrolment: Enrolment, exercise: Exercise, instructor: User, classmate: User
) -> IssuedSectionRecord:
    """A section of two: one worked the mini term, the other handed one coupon in."""
    ExerciseFactory.create(plan=exercise.plan, title="Lap")
    log_mini_term(enrolment, exercise, instructor)
    hand_in_coupon(classmate.enrolments.get(), exercise)
    return issue(instructor, after=0)


def issue(instructor: User, after: int, at: datetime = NOON) -> IssuedSectionRecord:
    students = list(access.enrolments(instructor).order_by("user__last_name"))
    return section_issuing.issue(students[0].section, students, instructor, at, after_issue=after)


def test_the_matrix_stands_beside_the_hash_of_each_students_record(
    mini: IssuedSectionRecord,
) -> None:
    record = from_master(mini.master)
    assert [(each.place, each.title, each.competent) for each in record.exercises] == [
        (1, "Tee", 1),
        (2, "Lap", 0),
    ]
    quill, tansy = record.students
    assert [quill.student, tansy.student] == ["Ansa Quill", "Ansa Tansy"]
    assert [(c.state, c.logged, c.good) for c in quill.cells if c] == [(4, 7, 3), (0, 0, 0)]
    assert [(c.state, c.logged, c.good) for c in tansy.cells if c] == [(1, 1, 0), (0, 0, 0)]
    assert (record.logged, record.good, record.waiting, record.competent_in_all) == (8, 3, 2, 0)
    for row in record.students:
        own = IssuedRecord.objects.get(code=row.record_code)
        assert row.record_sha256 == hashlib.sha256(own.master.encode()).hexdigest()
        assert (row.record_issue, row.record_issued_at) == (1, NOON)


def test_its_master_is_canonical_and_as_its_schema_says(mini: IssuedSectionRecord) -> None:
    jsonschema.validate(
        json.loads(mini.master),
        json.loads(SCHEMA.read_text(encoding="utf-8")),
        format_checker=jsonschema.FormatChecker(),
    )
    assert to_master(from_master(mini.master)) == mini.master
    assert mini.sha256 == hashlib.sha256(mini.master.encode()).hexdigest()


def test_only_what_changed_is_issued_again(
    mini: IssuedSectionRecord, enrolment: Enrolment, exercise: Exercise, instructor: User
) -> None:
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    of_section = issue(instructor, after=1)
    second = from_master(of_section.master)
    told = AuditRow.objects.filter(act=Act.RECORD_ISSUED).order_by("-number")[:2]
    assert [json.loads(each.after)["sha256"] for each in told] == [
        of_section.sha256,
        second.students[0].record_sha256,
    ]
    assert [each.record_issue for each in second.students] == [2, 1]
    assert second.issue.supersedes == mini.code
    assert (second.issue.number, issuing.standing_of(mini).state) == (2, "superseded")


def test_a_replaced_exercise_stays_a_column_for_who_has_tried_it(
    mini: IssuedSectionRecord, exercise: Exercise, instructor: User, classmate: User
) -> None:
    lap = Exercise.objects.get(title="Lap")
    hand_in_coupon(classmate.enrolments.get(), lap)
    Exercise.objects.filter(pk=lap.pk).update(retired_at=MOMENT)
    ExerciseFactory.create(plan=exercise.plan, title="Lap", place=lap.place)
    record = from_master(issue(instructor, after=1).master)
    assert [(each.title, each.retired) for each in record.exercises] == [
        ("Tee", False),
        ("Lap", True),
        ("Lap", False),
    ]
    quill, tansy = record.students
    assert quill.cells[1] is None
    assert tansy.cells[1]
    assert tansy.cells[1].logged == 1


def test_who_comes_second_is_told_and_issues_nothing(
    mini: IssuedSectionRecord, instructor: User, client_of: ClientOf
) -> None:
    address = reverse("coursework:section_record_issue", args=[mini.section_id])
    answer = client_of(instructor).post(address, {"after_issue": "0"})
    assert answer.status_code == 409
    assert "issued a moment ago" in answer.text
    assert IssuedSectionRecord.objects.count() == 1


@pytest.mark.parametrize("after", ["", "-1", "٣"])
def test_an_unreadable_answer_issues_nothing(
    mini: IssuedSectionRecord, instructor: User, client_of: ClientOf, after: str
) -> None:
    address = reverse("coursework:section_record_issue", args=[mini.section_id])
    assert client_of(instructor).post(address, {"after_issue": after}).status_code == 422
    assert IssuedSectionRecord.objects.count() == 1


def test_the_button_issues_all_and_the_page_shows_them(
    mini: IssuedSectionRecord, instructor: User, client_of: ClientOf
) -> None:
    address = reverse("coursework:section_record_issue", args=[mini.section_id])
    answer = client_of(instructor).post(address, {"after_issue": "1"}, follow=True)
    text = " ".join(answer.text.split())
    second = IssuedSectionRecord.objects.get(issue=2)
    assert f"Section record {second.code}, issue 2" in text
    assert "2 students, 0 competent in every exercise. 8 coupons logged, 3 good." in text
    for row in from_master(second.master).students:
        assert row.record_code in text
        assert row.record_sha256[:16] in text
    assert "not a welder qualification" in text
    assert second.sha256 in text


@pytest.mark.postgres
def test_the_database_refuses_to_edit_it(mini: IssuedSectionRecord) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        IssuedSectionRecord.objects.filter(pk=mini.pk).update(master="{}")
    assert IssuedSectionRecord.objects.get().master == mini.master


def test_a_reader_of_an_export_finds_the_schema(client: Client) -> None:
    for name in ("term_record_1", "term_record_2", "section_record_1"):
        answer = client.get(reverse("coursework:record_schema", args=[name]))
        assert answer.headers["Content-Type"] == "application/schema+json"
        jsonschema.Draft202012Validator.check_schema(json.loads(answer.content))
    assert client.get("/schemas/another.schema.json").status_code == 404
