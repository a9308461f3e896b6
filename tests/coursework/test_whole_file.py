"""A student's whole file: all that is stored about them, and nothing that they may not see yet."""

import gc
import hashlib
import io
import json
import tracemalloc
import zipfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pypdf
import pytest
from django.core.files.storage import default_storage
from django.db import connection
from django.test.utils import CaptureQueriesContext
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from coursework import check_tests, exports, grading, whole_file
from coursework.disclosures import disclose
from coursework.issuing import issue
from coursework.models import (
    CorrectionRequest,
    Coupon,
    Enrolment,
    Exercise,
    Grade,
    IssuedRecord,
    Photo,
    SecondLook,
    Section,
    SectionMove,
    SignOff,
    User,
)
from coursework.photos import store
from coursework.whole_file import write_whole_file
from tests.coursework.test_photos import picture
from tests.engine.contract import schema_of
from tests.factories import (
    MOMENT,
    EnrolmentFactory,
    SectionFactory,
    clean_document,
    grade_coupon,
    hand_in_coupon,
)

pytestmark = pytest.mark.django_db

SITE = "https://weldlog.example/"
type Written = Callable[..., zipfile.ZipFile]


@pytest.fixture(autouse=True)
def _no_pdf(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Make PDFs only where a test is marked so: they take a second each."""
    if not request.node.get_closest_marker("pdf"):
        monkeypatch.setattr(exports, "pdf", lambda *_, **__: b"%PDF")


@pytest.fixture
def written(tmp_path: Path, student: User) -> Written:
    """Return a function that writes the file and opens it."""

    def write(name: str = "whole.zip") -> zipfile.ZipFile:
        write_whole_file(student, tmp_path / name, lambda *_: None, site=SITE)
        return zipfile.ZipFile(tmp_path / name)

    return write


def document(archive: zipfile.ZipFile) -> Any:
    return json.loads(archive.read("whole-file.json"))


def coupons(archive: zipfile.ZipFile) -> Any:
    return document(archive)["places"][0]["coupons"]


def photo_of(coupon: Coupon, by: User) -> Photo:
    stored = store(picture(), 1000)
    return Photo.objects.create(
        coupon=coupon,
        place=1,
        file=stored.name,
        description="Face of the weld",
        width_px=stored.width_px,
        height_px=stored.height_px,
        size_bytes=stored.size_bytes,
        added_by=by,
        added_at=coupon.handed_in_at,
    )


@pytest.fixture
def told(
    enrolment: Enrolment, exercise: Exercise, other_section: Section, instructor: User
) -> Coupon:
    """Store one row at least of everything that may be stored about a student."""
    seen = [{"number": "104"}]
    coupon = hand_in_coupon(
        enrolment, exercise, clean_document(exercise, imperfections=seen, polarity="DCEN")
    )
    photo_of(coupon, enrolment.user)
    Exercise.objects.filter(pk=exercise.pk).update(check_test="break")
    coupon.exercise.refresh_from_db()
    found = check_tests.Seen(passed=False, largest_opening_mm=1.5, note="Lack of fusion.")
    check_tests.record(coupon, found, by=instructor, at=MOMENT)
    grade = grade_coupon(coupon, instructor, comment="Even ripples.")
    Grade.objects.filter(pk=grade.pk).update(released_at=MOMENT)
    SignOff.objects.create(
        enrolment=enrolment, exercise=exercise, signed_by=instructor, signed_at=MOMENT
    )
    SectionMove.objects.create(
        enrolment=enrolment,
        from_section=other_section,
        to_section=enrolment.section,
        moved_by=instructor,
        moved_at=MOMENT,
        reason="Evenings",
    )
    CorrectionRequest.objects.create(
        enrolment=enrolment,
        coupon=coupon,
        about="Coupon 1",
        what="It was 5052.",
        asked_at=MOMENT,
        decision="declined",
        reason="The label says 6061.",
        decided_by=instructor,
        decided_at=MOMENT,
        statement="The label was wrong.",
        stated_at=MOMENT,
    )
    disclose(instructor, [enrolment], "Term record", "Harbor Works", "consent", "On file.")
    return coupon


# --- what is in it


def test_it_is_as_its_schema_says(
    written: Written, told: Coupon, enrolment: Enrolment, instructor: User
) -> None:
    issue(enrolment, instructor, MOMENT, after_issue=0)
    coupon = Resource.from_contents(schema_of("coupon"))
    registry: Any = Registry().with_resource("coupon.schema.json", coupon)
    checker = Draft202012Validator.FORMAT_CHECKER
    schema = Draft202012Validator(
        schema_of("whole_file"), registry=registry, format_checker=checker
    )
    wrong = [each.message for each in schema.iter_errors(document(written()))]
    assert wrong == []


def test_it_tells_what_was_typed_what_was_found_and_what_was_said(
    written: Written, told: Coupon
) -> None:
    (coupon,) = coupons(written())
    (stated,) = coupon["stated"]
    assert told.facts
    assert stated["facts"] == told.facts.document()
    (assessment,) = stated["assessments"]
    assert told.assessment
    assert assessment["figures"] == told.assessment.figures
    assert {each["rule"] for each in assessment["findings"]} == set(
        told.assessment.findings.values_list("rule", flat=True)
    )
    (grade,) = coupon["grades"]
    assert (grade["level"], grade["comment"], grade["graded_by"]) == (
        3,
        "Even ripples.",
        "Odo Hale",
    )
    assert {each["level"] for each in grade["scores"]} == {3}
    (test,) = coupon["check_tests"]
    assert (test["kind"], test["passed"], test["largest_opening_mm"]) == ("break", False, 1.5)


def test_it_tells_of_moves_sign_offs_disclosures_and_corrections(
    written: Written, told: Coupon
) -> None:
    (place,) = document(written())["places"]
    (move,) = place["moves"]
    assert (move["from_section"], move["reason"]) == ("ALW 12, Section B", "Evenings")
    (sign_off,) = place["sign_offs"]
    assert sign_off["signed_by"] == "Odo Hale"
    (disclosure,) = place["disclosures"]
    assert (disclosure["to"], disclosure["why"]) == ("Harbor Works", "consent")
    (request,) = place["correction_requests"]
    assert (request["decision"], request["statement"]) == ("declined", "The label was wrong.")


def test_earlier_facts_and_withdrawn_coupons_are_in_it(
    written: Written, enrolment: Enrolment, exercise: Exercise
) -> None:
    withdrawn = hand_in_coupon(enrolment, exercise)
    Coupon.objects.filter(pk=withdrawn.pk).update(state=Coupon.State.WITHDRAWN)
    (coupon,) = coupons(written())
    assert coupon["state"] == "withdrawn"


def test_a_second_section_and_one_that_was_left_are_in_it(
    written: Written, enrolment: Enrolment, exercise: Exercise
) -> None:
    later = SectionFactory.create(term=enrolment.section.term, plan=enrolment.section.plan)
    second = EnrolmentFactory.create(
        section=later, user=enrolment.user, joined_at=enrolment.joined_at + timedelta(days=90)
    )
    Enrolment.objects.filter(pk=enrolment.pk).update(left_at=MOMENT)
    hand_in_coupon(second, exercise)
    first, last = document(written())["places"]
    assert (first["left_at"], len(first["coupons"])) == ("2026-09-14T15:00:00Z", 0)
    assert (last["section"], len(last["coupons"])) == (later.name, 1)


def test_photos_are_in_it_byte_by_byte(written: Written, told: Coupon) -> None:
    archive = written()
    (photo,) = coupons(archive)[0]["photos"]
    with default_storage.open(told.photos.get().file) as stored:
        assert archive.read(photo["file"]) == stored.read()


def test_a_photo_whose_file_is_lost_does_not_keep_the_rest_back(
    written: Written, told: Coupon
) -> None:
    default_storage.delete(told.photos.get().file)
    (photo,) = coupons(written())[0]["photos"]
    assert (photo["description"], photo["file"]) == ("Face of the weld", None)


def test_every_issued_record_is_in_it_with_its_fingerprint(
    written: Written, enrolment: Enrolment, instructor: User
) -> None:
    for number in range(2):
        issue(enrolment, instructor, MOMENT, after_issue=number)
    archive = written()
    records = document(archive)["places"][0]["records"]
    assert [each["issue"] for each in records] == [1, 2]
    for each in records:
        assert hashlib.sha256(archive.read(each["file"])).hexdigest() == each["sha256"]
        assert IssuedRecord.objects.get(code=each["code"]).sha256 == each["sha256"]


@pytest.mark.pdf
@pytest.mark.parametrize("issued", [False, True], ids=["preview", "issued"])
def test_the_record_is_in_it_as_pdf(
    issued: bool, written: Written, enrolment: Enrolment, instructor: User
) -> None:
    if issued:
        issue(enrolment, instructor, MOMENT, after_issue=0)
    archive = written()
    name = document(archive)["places"][0]["record_pdf"]
    text = pypdf.PdfReader(io.BytesIO(archive.read(name))).pages[0].extract_text()
    assert "Ansa Quill" in text
    assert ("preview" in name) is not issued


def test_without_pango_the_rest_is_there(
    written: Written, told: Coupon, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none(*_: Any, **__: Any) -> bytes:
        raise exports.NoPdf

    monkeypatch.setattr(exports, "pdf", none)
    archive = written()
    assert document(archive)["places"][0]["record_pdf"] is None
    assert not [each for each in archive.namelist() if each.endswith(".pdf")]
    assert len(coupons(archive)) == 1


# --- what is not in it


def test_nothing_of_a_held_grade_is_in_it(written: Written, told: Coupon, instructor: User) -> None:
    Coupon.objects.filter(pk=told.pk).update(state=Coupon.State.HELD, grade=None)
    told.grades.update(released_at=None)
    archive = written()
    (coupon,) = coupons(archive)
    assert (coupon["state"], coupon["grades"], coupon["check_tests"]) == ("handed_in", [], [])
    text = archive.read("whole-file.json").decode()
    assert "Even ripples." not in text
    assert "Lack of fusion." not in text


def test_nothing_of_a_second_grading_or_of_anybody_else_is_in_it(
    written: Written, told: Coupon, classmate: User, exercise: Exercise, instructor: User
) -> None:
    SecondLook.objects.create(
        coupon=told, grade=told.grades.get(), drawn_at=MOMENT, comment="Too kind by one."
    )
    hand_in_coupon(Enrolment.objects.get(user=classmate), exercise)
    text = written().read("whole-file.json").decode()
    assert "Too kind" not in text
    assert "Tansy" not in text
    assert "pbkdf2" not in text
    assert "md5" not in text


# --- how it is written


@pytest.mark.pdf
def test_equal_rows_give_equal_bytes(written: Written, told: Coupon, tmp_path: Path) -> None:
    written("first.zip")
    written("second.zip")
    first, second = (tmp_path / name for name in ("first.zip", "second.zip"))
    assert first.read_bytes() == second.read_bytes()


def test_hostile_names_stay_text_and_stay_in_the_zip(
    written: Written, told: Coupon, student: User
) -> None:
    name = '../../etc/"passwd\u202e</script>\U0001f525'
    User.objects.filter(pk=student.pk).update(first_name=name)
    Section.objects.filter(pk=told.section_id).update(name="../../../x")
    student.refresh_from_db()
    archive = written()
    assert document(archive)["student"]["first_name"] == name
    assert not [each for each in archive.namelist() if ".." in each or each.startswith("/")]


def test_progress_counts_up_to_its_end(
    student: User, enrolment: Enrolment, exercise: Exercise, tmp_path: Path
) -> None:
    for _ in range(3):
        hand_in_coupon(enrolment, exercise)
    told: list[tuple[int, int]] = []
    write_whole_file(student, tmp_path / "x", lambda *step: told.append(step), site=SITE)
    assert told == [(1, 4), (2, 4), (3, 4), (4, 4), (4, 4)]


def test_a_second_coupon_costs_no_further_query(
    written: Written, told: Coupon, enrolment: Enrolment, instructor: User
) -> None:
    with CaptureQueriesContext(connection) as for_one:
        written("one.zip")
    second = hand_in_coupon(enrolment, told.exercise)
    photo_of(second, enrolment.user)
    grade_coupon(second, instructor)
    check_tests.record(second, check_tests.Seen(passed=True), by=instructor, at=MOMENT)
    Grade.objects.update(released_at=MOMENT)
    with CaptureQueriesContext(connection) as for_two:
        assert len(coupons(written("two.zip"))) == 2
    assert len(for_two) == len(for_one)


def test_a_student_without_a_section_gets_a_file_that_says_so(
    written: Written, student: User
) -> None:
    Enrolment.objects.filter(user=student).delete()
    assert document(written())["places"] == []


@pytest.mark.long
def test_memory_does_not_grow_with_the_coupons(
    student: User,
    enrolment: Enrolment,
    exercise: Exercise,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Apart from the record, which is laid out whole and has a bound of its own."""
    monkeypatch.setattr(whole_file, "_pdf", lambda *_: None)

    def sweep(done: int, _of: int) -> None:
        # Rows that point at one another wait for Python's collector; that is not what is measured.
        if done % whole_file.COUPONS_AT_ONCE == 0:
            gc.collect()

    def most_bytes() -> int:
        tracemalloc.start()
        write_whole_file(student, tmp_path / "whole.zip", sweep, site=SITE)
        _now, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        return most

    def log(coupons_wanted: int) -> None:
        for _ in range(coupons_wanted):
            hand_in_coupon(enrolment, exercise)

    log(40)
    most_bytes()
    with_forty = most_bytes()
    log(120)
    assert most_bytes() < 1.3 * with_forty


def test_what_a_held_grade_says_comes_with_its_release(
    written: Written, told: Coupon, instructor: User
) -> None:
    grade = told.grades.get()
    Grade.objects.filter(pk=grade.pk).update(released_at=None)
    Coupon.objects.filter(pk=told.pk).update(state=Coupon.State.HELD, grade=None)
    grading.release(Coupon.objects.filter(pk=told.pk), by=instructor, at=MOMENT)
    (coupon,) = coupons(written())
    assert (coupon["state"], len(coupon["grades"])) == ("accepted", 1)
