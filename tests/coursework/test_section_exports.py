"""The page of a section's files, and the files behind it."""

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from coursework.export_kinds import WHERE_LONG
from coursework.exports import files
from coursework.exports.files import SECTION_FILES
from coursework.models import Coupon, Disclosure, Section, User
from tests.coursework.logs import section_file
from tests.factories import ExerciseFactory

type ClientOf = Callable[[User], Client]


def address(section: Section, name: str) -> str:
    return reverse("coursework:section_file", args=[section.pk, name])


def test_the_page_says_of_every_file_what_is_in_it_and_for_whom(
    section: Section, instructor: User, client_of: ClientOf
) -> None:
    page = reverse("coursework:section_exports", args=[section.pk])
    text = client_of(instructor).get(page).content.decode()
    for name, kind in SECTION_FILES.items():
        assert address(section, name) in text
        assert escape(str(kind.says)) in text
        assert escape(str(kind.whom)) in text
    assert "never a qualification" in text


@pytest.mark.parametrize("name", SECTION_FILES)
def test_every_file_comes_with_a_name_and_is_kept_by_no_cache(
    name: str, graded_coupon: Coupon, section: Section, coordinator: User, client_of: ClientOf
) -> None:
    response = client_of(coordinator).get(address(section, name))
    disposition = response.headers["Content-Disposition"]
    assert disposition == f'attachment; filename="alw-12-section-a-{name}"'
    assert response.headers["Content-Type"] == SECTION_FILES[name].content_type
    assert response.headers["Cache-Control"] == "private, no-store"
    assert response.getvalue()


def test_a_file_of_very_many_coupons_is_asked_for_and_not_waited_for(
    coupon: Coupon,
    section: Section,
    instructor: User,
    client_of: ClientOf,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(files, "MOST_WHILE_WAITING", 0)
    client = client_of(instructor)
    for name, kind in SECTION_FILES.items():
        answer = client.get(address(section, name), follow=True)
        ask = reverse("coursework:section_file_ask", args=[section.pk, name.replace(".", "-")])
        if kind.grows:
            assert ask in answer.content.decode()
            assert address(section, name) not in answer.content.decode()
        else:
            assert answer.getvalue()


def test_few_coupons_are_not_asked_for(
    coupon: Coupon, section: Section, instructor: User, client_of: ClientOf
) -> None:
    page = reverse("coursework:section_exports", args=[section.pk])
    text = client_of(instructor).get(page).content.decode()
    assert "workbook-xlsx" not in text


def test_the_worker_writes_what_the_page_gives(
    graded_coupon: Coupon, section: Section, instructor: User, tmp_path: Path
) -> None:
    for name in SECTION_FILES:
        path = tmp_path / "asked"
        write = WHERE_LONG[name.replace(".", "-")].write
        write(section, path, lambda _done, _of: None, site="https://weldlog.example/")
        assert path.read_bytes() == section_file(name, section, instructor, tmp_path)


def test_a_file_that_there_is_not_is_not_found(
    section: Section, instructor: User, client_of: ClientOf
) -> None:
    assert client_of(instructor).get(address(section, "secrets.txt")).status_code == 404


def test_every_student_has_a_row_an_exercise(
    graded_coupon: Coupon,
    section: Section,
    classmate: User,
    instructor: User,
    client_of: ClientOf,
) -> None:
    ExerciseFactory.create(plan=graded_coupon.exercise.plan, title="-Lap")
    table = client_of(instructor).get(address(section, "exercises.csv")).getvalue()
    rows = list(csv.DictReader(io.StringIO(table.decode("utf-8-sig"))))
    assert [(row["student"], row["exercise"], row["state"]) for row in rows] == [
        ("Ansa Quill", "Tee", "nearly there"),
        ("Ansa Quill", "'-Lap", "not started"),
        (str(classmate), "Tee", "not started"),
        (str(classmate), "'-Lap", "not started"),
    ]
    assert (rows[0]["coupons_good"], rows[0]["missing"]) == ("1", "1 more good coupon")
    assert all("not a welder qualification" in row["note"] for row in rows)


def test_an_empty_section_is_a_head_alone(
    section: Section, instructor: User, client_of: ClientOf
) -> None:
    table = client_of(instructor).get(address(section, "exercises.csv")).getvalue()
    assert list(csv.DictReader(io.StringIO(table.decode("utf-8-sig")))) == []


# --- a file that leaves the school


LEAVES = {"to": "State board, A. Reed", "why": "interest", "note": "Audit of the program."}


def test_a_file_that_leaves_is_given_once_it_is_logged_to_whom_and_why(
    graded_coupon: Coupon, section: Section, instructor: User, client_of: ClientOf
) -> None:
    page = reverse("coursework:section_exports", args=[section.pk])
    answer = client_of(instructor).post(page, LEAVES | {"file": "gradebook.zip"})
    assert answer.headers["Content-Type"] == "application/zip"
    assert answer.getvalue()
    logged = Disclosure.objects.get()
    assert (logged.to, logged.why, logged.disclosed_by) == (LEAVES["to"], "interest", instructor)
    assert logged.what == "Gradebook for the school's system, ALW 12, Section A, Fall 2026"
    assert list(logged.enrolments.all()) == [graded_coupon.enrolment]


def test_what_stays_in_the_school_is_not_logged(
    graded_coupon: Coupon, section: Section, instructor: User, client_of: ClientOf
) -> None:
    assert client_of(instructor).get(address(section, "workbook.xlsx")).getvalue()
    assert not Disclosure.objects.exists()


@pytest.mark.parametrize("name", [*LEAVES, "file"])
def test_without_an_answer_nothing_is_logged_and_nothing_given(
    name: str, graded_coupon: Coupon, section: Section, instructor: User, client_of: ClientOf
) -> None:
    page = reverse("coursework:section_exports", args=[section.pk])
    answer = client_of(instructor).post(page, LEAVES | {"file": "gradebook.zip", name: ""})
    assert answer.status_code == 422
    kept = LEAVES["note"] if name == "to" else LEAVES["to"]
    assert kept in answer.content.decode()
    assert not Disclosure.objects.exists()


def test_of_an_empty_section_nothing_leaves(
    section: Section, instructor: User, client_of: ClientOf
) -> None:
    page = reverse("coursework:section_exports", args=[section.pk])
    answer = client_of(instructor).post(page, LEAVES | {"file": "gradebook.zip"})
    assert answer.status_code == 422
    assert "Nobody has joined this section yet" in answer.content.decode()
