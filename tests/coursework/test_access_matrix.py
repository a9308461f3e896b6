"""Every address for every role: who gets in, who is refused, for whom it does not exist.

An address that this table does not know fails the test, so nobody can forget one.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from coursework import corrections, holds, section_issuing
from coursework.export_jobs import ask
from coursework.export_kinds import KINDS
from coursework.issuing import issue
from coursework.models import Coupon, Enrolment, Exercise, ExportFile, Photo, Section, User
from coursework.photos import store
from coursework.urls import urlpatterns
from tests.coursework.test_photos import picture
from tests.factories import (
    MOMENT,
    CoordinatorFactory,
    SchoolFactory,
    grade_coupon,
    second_look_of,
)

pytestmark = pytest.mark.django_db

# No page of the site needs more; lists have tighter bounds in their own tests.
MOST_QUERIES = 32

ROLES = (
    "nobody",
    "student",
    "classmate",
    "stranger",
    "instructor",
    "other_instructor",
    "coordinator",
    "other_coordinator",
)
OPEN = dict.fromkeys(ROLES, 200)
IN, NO, GONE, SIGN_IN = 200, 403, 404, 302
# What a form is answered that was sent without a sign-in.
SIGNED_OUT = 401
TO_SIGN_IN = {"nobody": SIGN_IN}
# What belongs to one section: its students, its instructors, the school's coordinator.
STAFF_OF_SECTION = TO_SIGN_IN | {
    "student": NO,
    "classmate": NO,
    "stranger": GONE,
    "instructor": IN,
    "other_instructor": GONE,
    "coordinator": IN,
    "other_coordinator": GONE,
}
# What belongs to one student; a classmate never sees it.
ABOUT_STUDENT = STAFF_OF_SECTION | {"student": IN, "classmate": GONE}
STAFF_ABOUT_STUDENT = ABOUT_STUDENT | {"student": NO}
INSTRUCTOR_ABOUT_STUDENT = STAFF_ABOUT_STUDENT | {"coordinator": NO}
STUDENT_ALONE = ABOUT_STUDENT | {"instructor": NO, "coordinator": NO}
STUDENTS = TO_SIGN_IN | {
    "student": IN,
    "classmate": IN,
    "stranger": IN,
    "instructor": NO,
    "other_instructor": NO,
    "coordinator": NO,
    "other_coordinator": NO,
}
STAFF = TO_SIGN_IN | {
    "student": NO,
    "classmate": NO,
    "stranger": NO,
    "instructor": IN,
    "other_instructor": IN,
    "coordinator": IN,
    "other_coordinator": IN,
}

COORDINATORS = TO_SIGN_IN | dict.fromkeys(ROLES[1:], NO) | {"coordinator": IN}
SIGNED_IN = TO_SIGN_IN | dict.fromkeys(ROLES[1:], IN)
# What a student asked for; nobody else knows of it.
ASKER_ALONE = TO_SIGN_IN | dict.fromkeys(ROLES[1:], GONE) | {"student": IN}
# What belongs to one school.
OFFICE_OF_SCHOOL = COORDINATORS | {"other_coordinator": GONE}
# What every coordinator has, each of the own school.
OWN_OFFICE = COORDINATORS | {"other_coordinator": IN}
# What belongs to a school: all of its staff, and no other school's.
STAFF_OF_SCHOOL = STAFF | {"other_coordinator": GONE}

# Route: method, expected answer for each role. 200 stands for any answer that lets the person in.
MATRIX: dict[str, tuple[str, dict[str, int]]] = {
    "home": ("get", OPEN),
    "sign_in": ("get", OPEN),
    "new_password": ("get", OPEN),
    "sign_out": ("post", dict.fromkeys(ROLES, IN) | TO_SIGN_IN),
    "join": (
        "get",
        OPEN
        | dict.fromkeys(("instructor", "other_instructor", "coordinator", "other_coordinator"), NO),
    ),
    "theme": ("post", OPEN),
    "help": ("get", OPEN),
    "guides": ("get", OPEN),
    "filler_guide": ("get", OPEN),
    "cleaning_guide": ("get", OPEN),
    "set_up_guide": ("get", OPEN),
    "heat_guide": ("get", OPEN),
    "alloys": ("get", OPEN),
    "alloy": ("get", OPEN),
    "imperfection_guide": ("get", OPEN),
    "imperfection": ("get", OPEN),
    "sources": ("get", OPEN),
    "bench": ("get", STUDENTS),
    "coupons": ("get", STUDENTS),
    "progress": ("get", STUDENTS),
    # Both sections follow one plan, so every student may practise its exercises.
    "coupon_log": ("get", STUDENTS),
    "coupon_live": ("post", STUDENTS),
    "coupon": ("get", ABOUT_STUDENT),
    "coupon_correct": ("get", STUDENT_ALONE),
    "coupon_withdraw": ("post", STUDENT_ALONE),
    "photo": ("get", ABOUT_STUDENT),
    "grade": ("get", INSTRUCTOR_ABOUT_STUDENT),
    "take_back": ("post", INSTRUCTOR_ABOUT_STUDENT),
    "sections": ("get", STAFF),
    "section": ("get", STAFF_OF_SECTION),
    "log_for": ("get", STAFF_OF_SECTION | {"coordinator": NO}),
    "section_staff": ("get", STAFF_OF_SECTION | {"instructor": NO}),
    "held": ("get", STAFF_OF_SECTION | {"coordinator": NO}),
    "today": ("get", STAFF_OF_SECTION),
    "section_coupons": ("get", STAFF_OF_SECTION),
    "agreement": ("get", STAFF_OF_SECTION),
    "second_looks": ("get", STAFF_OF_SECTION | {"coordinator": NO}),
    "second_look": ("get", INSTRUCTOR_ABOUT_STUDENT | {"student": GONE}),
    "waiting": ("get", STAFF_OF_SECTION),
    "records": ("get", STAFF_OF_SECTION),
    "section_exports": ("get", STAFF_OF_SECTION),
    "section_file": ("get", STAFF_OF_SECTION),
    "own_file": ("get", STUDENTS),
    "roster": ("get", STAFF_OF_SECTION),
    "roster_import": ("get", STAFF_OF_SECTION),
    "roster_requests": ("post", STAFF_OF_SECTION),
    "roster_slips": ("post", STAFF_OF_SECTION),
    "roster_students": ("post", STAFF_OF_SECTION),
    "join_code": ("get", STAFF_OF_SECTION),
    "poster_pdf": ("get", STAFF_OF_SECTION),
    "labels": ("get", STAFF_OF_SECTION),
    "labels_pdf": ("get", STAFF_OF_SECTION),
    "label": ("get", ABOUT_STUDENT),
    "student": ("get", STAFF_ABOUT_STUDENT),
    "sign_off": ("post", INSTRUCTOR_ABOUT_STUDENT),
    "coupon_log_for": ("get", INSTRUCTOR_ABOUT_STUDENT),
    "coupon_live_for": ("post", INSTRUCTOR_ABOUT_STUDENT),
    "student_move": ("get", STAFF_ABOUT_STUDENT | {"instructor": NO}),
    "sign_in_code": ("get", STAFF_ABOUT_STUDENT),
    "staff_access": ("post", OFFICE_OF_SCHOOL),
    "staff_role": ("post", OFFICE_OF_SCHOOL),
    "office": ("get", STAFF),
    "plan_lay_out": ("post", OWN_OFFICE),
    "term_new": ("get", OWN_OFFICE),
    "term": ("get", OFFICE_OF_SCHOOL),
    "term_close": ("get", OFFICE_OF_SCHOOL),
    "term_reopen": ("post", OFFICE_OF_SCHOOL),
    "section_new": ("get", OFFICE_OF_SCHOOL),
    "staff": ("get", OWN_OFFICE),
    "audit": ("get", OWN_OFFICE),
    "school_settings": ("get", OWN_OFFICE),
    "limit_set": ("get", OWN_OFFICE),
    "limits": ("get", STAFF),
    # Only a lead instructor may; see test_limits.py.
    "limit_confirm": ("post", TO_SIGN_IN | dict.fromkeys(ROLES[1:], NO)),
    "record": ("get", STAFF_ABOUT_STUDENT),
    "record_issue": ("post", INSTRUCTOR_ABOUT_STUDENT),
    "issued_record": ("get", ABOUT_STUDENT),
    "correction_ask": ("get", STUDENTS),
    "correction_requests": ("get", STAFF),
    "correction_request": ("get", ABOUT_STUDENT),
    "correction_decide": ("post", STAFF_ABOUT_STUDENT),
    "correction_state": ("post", STUDENT_ALONE),
    "disclose": ("get", STAFF_OF_SECTION),
    "disclosures": ("get", OWN_OFFICE),
    "retention": ("get", OWN_OFFICE),
    "purge": ("get", OWN_OFFICE),
    "holds": ("get", OWN_OFFICE),
    "hold_lift": ("post", OFFICE_OF_SCHOOL),
    "record_pdf": ("get", ABOUT_STUDENT),
    "record_csv": ("get", ABOUT_STUDENT),
    "record_withdraw": ("get", STAFF_ABOUT_STUDENT),
    "section_record": ("get", STAFF_OF_SECTION),
    "section_record_issue": ("post", STAFF_OF_SECTION | {"coordinator": NO}),
    "section_record_withdraw": ("get", STAFF_OF_SECTION),
    "record_check": ("get", OPEN),
    "record_print": ("get", OPEN),
    "record_schema": ("get", OPEN),
    "your_files": ("get", SIGNED_IN),
    "own_whole_file": ("post", STUDENTS),
    "whole_file": ("get", STAFF_ABOUT_STUDENT | {"instructor": NO}),
    # A kind of file about sections; there are others about students.
    "section_file_ask": (
        "post",
        STAFF_OF_SECTION | dict.fromkeys(("instructor", "coordinator"), GONE),
    ),
    **dict.fromkeys(("export_cancel", "export_again"), ("post", ASKER_ALONE)),
    "export_file": ("get", ASKER_ALONE),
    "plans": ("get", STAFF),
    "plan": ("get", STAFF_OF_SCHOOL),
    "exercise_new": ("get", STAFF_OF_SCHOOL),
    "exercise_edit": ("get", STAFF_OF_SCHOOL),
    "rubrics": ("get", STAFF),
    "rubric": ("get", STAFF_OF_SCHOOL),
    "rubric_draft": ("get", STAFF_OF_SCHOOL),
}


ROSTER_PAGES = (
    "roster",
    "roster_import",
    "roster_requests",
    "roster_slips",
    "roster_students",
    "join_code",
    "poster_pdf",
    "labels",
    "labels_pdf",
)


@pytest.fixture
def other_coordinator(coordinator: User) -> User:
    """Give a coordinator of another school."""
    return CoordinatorFactory.create(
        username="elsewhere", school=SchoolFactory.create(name="Another Institute")
    )


@pytest.fixture
def photo(coupon: Coupon, student: User) -> Photo:
    """Give a photo of the coupon."""
    stored = store(picture(), 1000)
    return Photo.objects.create(
        coupon=coupon,
        place=1,
        file=stored.name,
        width_px=stored.width_px,
        height_px=stored.height_px,
        size_bytes=stored.size_bytes,
        added_by=student,
        added_at=coupon.handed_in_at,
    )


@pytest.fixture
def export(student: User, monkeypatch: pytest.MonkeyPatch) -> ExportFile:
    """Give a file that the student asked for; who gets in does not hang on what is in it."""

    def write(_about: object, to: Path, _progress: object, *, site: str) -> None:
        to.write_text(site, encoding="utf-8")

    monkeypatch.setitem(KINDS, "whole_file", replace(KINDS["whole_file"], write=write))
    return ask(student, "whole_file", student, timezone.now())


@pytest.fixture
def duties(enrolment: Enrolment, coordinator: User) -> dict[str, dict[str, Any]]:
    """Give the arguments of the addresses of a correction request and a hold."""
    asked = corrections.ask(enrolment, None, "My name has two Ls.", at=MOMENT)
    school = enrolment.section.term.school
    hold = holds.place(school, enrolment.section, "An audit.", by=coordinator, at=MOMENT)
    pages = ("correction_request", "correction_decide", "correction_state")
    return {page: {"pk": asked.pk} for page in pages} | {"hold_lift": {"pk": hold.pk}}


@pytest.fixture
def addresses(
    section: Section,
    enrolment: Enrolment,
    exercise: Exercise,
    coupon: Coupon,
    photo: Photo,
    export: ExportFile,
    instructor: User,
    duties: dict[str, dict[str, Any]],
) -> dict[str, dict[str, Any]]:
    """Give the arguments of every address that has some."""
    about, file = {"public_id": coupon.public_id}, {"public_id": export.public_id}
    section_pk, student_pk = {"pk": section.pk}, {"pk": enrolment.pk}
    term_pk, plan_pk = {"pk": section.term_id}, {"pk": exercise.plan_id}
    rubric_pk, staff_pk = {"pk": exercise.rubric_id}, {"pk": instructor.pk}
    issued = issue(enrolment, instructor, coupon.handed_in_at, after_issue=0)
    record = {"code": issued.code}
    of_section = section_issuing.issue(
        section, [enrolment], instructor, coupon.handed_in_at, after_issue=0
    )
    return {
        **duties,
        "disclose": section_pk,
        "alloy": {"designation": "6061"},
        "imperfection": {"key": "undercut"},
        "coupon_log": {"exercise": exercise.pk},
        "coupon_live": {"exercise": exercise.pk},
        **dict.fromkeys(
            ("coupon", "coupon_correct", "coupon_withdraw", "grade", "take_back"), about
        ),
        "photo": {"public_id": photo.public_id},
        **dict.fromkeys(("section", "held", "waiting", "records", "section_exports"), section_pk),
        "section_file": section_pk | {"name": "workbook.xlsx"},
        "own_file": {"name": "coupons.csv"},
        **dict.fromkeys(("today", "section_coupons", "agreement", "second_looks"), section_pk),
        "second_look": {"pk": second_look_of(section, exercise).pk},
        **dict.fromkeys(ROSTER_PAGES, section_pk),
        **dict.fromkeys(("student", "record", "record_issue", "label"), student_pk),
        **dict.fromkeys(("student_move", "whole_file"), student_pk),
        **dict.fromkeys(("export_file", "export_cancel", "export_again"), file),
        "section_file_ask": section_pk | {"kind": "whole_file"},
        **dict.fromkeys(
            ("sign_off", "coupon_log_for", "coupon_live_for"),
            student_pk | {"exercise": exercise.pk},
        ),
        **dict.fromkeys(("log_for", "section_staff"), section_pk),
        **dict.fromkeys(("term", "term_close", "term_reopen", "section_new"), term_pk),
        "sign_in_code": {"pk": enrolment.user_id},
        **dict.fromkeys(("staff_access", "staff_role"), staff_pk),
        "limit_set": {"place": 0},
        "limit_confirm": {"limit": "iso10042-c-Q11"},
        **dict.fromkeys(("issued_record", "record_pdf", "record_csv", "record_withdraw"), record),
        "section_record": {"code": of_section.code},
        "section_record_withdraw": {"code": of_section.code},
        "section_record_issue": section_pk,
        "record_print": record | {"fingerprint": issued.sha256[:16]},
        "record_schema": {"name": "term_record_2"},
        **dict.fromkeys(("plan", "exercise_new"), plan_pk),
        "exercise_edit": {"pk": exercise.pk},
        **dict.fromkeys(("rubric", "rubric_draft"), rubric_pk),
    }


def sent(answer: Any) -> HttpResponse:
    """Return an answer that was read to its end, as a browser does with a file."""
    if answer.streaming:
        answer.getvalue()
    response: HttpResponse = answer
    return response


def outcome(answer: HttpResponse) -> int:
    """Return 302 where a sign-in is asked for, 200 where the page let the person in."""
    location = answer.headers.get("Location", "")
    if location.startswith("/sign-in/?next=") or answer.status_code == SIGNED_OUT:
        return SIGN_IN
    return IN if answer.status_code in {200, 302, 409, 422} else answer.status_code


def test_the_table_knows_every_address() -> None:
    names = {pattern.name for pattern in urlpatterns}
    assert len(names) == len(urlpatterns)
    assert set(MATRIX) == names


@pytest.mark.pdf
@pytest.mark.parametrize("route", MATRIX)
def test_who_gets_in(
    route: str,
    addresses: dict[str, dict[str, Any]],
    client_of: Callable[[User], Client],
    request: pytest.FixtureRequest,
) -> None:
    method, expected = MATRIX[route]
    people = {role: request.getfixturevalue(role) for role in ROLES if role != "nobody"}
    address = reverse(f"coursework:{route}", kwargs=addresses.get(route))
    found = {}
    for role in ROLES:
        client = client_of(people[role]) if role in people else Client()
        # What one person changes is undone before the next one comes.
        with transaction.atomic():
            found[role] = outcome(sent(getattr(client, method)(address)))
            transaction.set_rollback(True)
    assert found == expected


@pytest.mark.parametrize("route", [name for name, (method, _) in MATRIX.items() if method == "get"])
def test_looking_changes_nothing(
    route: str,
    addresses: dict[str, dict[str, Any]],
    client_of: Callable[[User], Client],
    student: User,
    instructor: User,
    coupon: Coupon,
) -> None:
    before = Coupon.objects.values().get(pk=coupon.pk)
    for user in (student, instructor):
        sent(client_of(user).get(reverse(f"coursework:{route}", kwargs=addresses.get(route))))
    assert Coupon.objects.values().get(pk=coupon.pk) == before


@pytest.mark.pdf
@pytest.mark.parametrize("route", [name for name, (method, _) in MATRIX.items() if method == "get"])
def test_every_page_costs_a_bounded_number_of_queries(
    route: str,
    addresses: dict[str, dict[str, Any]],
    client_of: Callable[[User], Client],
    request: pytest.FixtureRequest,
    django_assert_max_num_queries: Any,
) -> None:
    _method, expected = MATRIX[route]
    address = reverse(f"coursework:{route}", kwargs=addresses.get(route))
    for role in ("student", "instructor", "coordinator"):
        if expected[role] == IN:
            client = client_of(request.getfixturevalue(role))
            with django_assert_max_num_queries(MOST_QUERIES):
                sent(client.get(address))


def test_a_grade_of_another_school_is_not_there(
    client_of: Callable[[User], Client], coupon: Coupon, instructor: User, other_coordinator: User
) -> None:
    grade_coupon(coupon, instructor)
    assert client_of(other_coordinator).get(f"/coupons/{coupon.public_id}/").status_code == 404
