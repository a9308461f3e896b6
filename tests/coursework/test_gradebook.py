"""A section as a OneRoster 1.2 gradebook: checked against the standard, and read in again."""

import io
import uuid
import zipfile
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from coursework import oneroster
from coursework.exports.gradebook import school_year
from coursework.models import Coupon, Enrolment, Exercise, Section, SignOff, User
from coursework.roster_diff import compare
from tests.coursework import oneroster_checker as checker
from tests.coursework import oneroster_sets
from tests.coursework.hostile import HOSTILE
from tests.coursework.logs import log_hostile_section, queries_of, section_file
from tests.factories import EnrolmentFactory, ExerciseFactory, grade_coupon, hand_in_coupon

AT = datetime(2026, 9, 15, 15, 0, tzinfo=UTC)


@pytest.fixture
def gradebook(section: Section, instructor: User, tmp_path: Path) -> Callable[[], bytes]:
    """Return the set of ``section`` as it stands now."""
    return lambda: section_file("gradebook.zip", section, instructor, tmp_path)


@pytest.fixture
def graded(enrolment: Enrolment, exercise: Exercise, instructor: User) -> list[Coupon]:
    """Three coupons: returned at 2, accepted at 4, waiting."""
    found = [hand_in_coupon(enrolment, exercise) for _ in range(3)]
    grade_coupon(found[0], instructor, level=2, decision="returned")
    grade_coupon(found[1], instructor, level=4, at=AT)
    return found


@pytest.mark.postgres
def test_the_set_is_as_the_standard_wants_it(
    gradebook: Callable[[], bytes], graded: list[Coupon], classmate: User
) -> None:
    assert checker.problems(gradebook()) == []
    assert set(checker.read(gradebook())) == {"manifest", *checker.TABLES}


# What the checker has to notice, so that its silence says something: file, column, other value.
WRONG = {
    "an enumeration in another case": ("results", "scoreStatus", "Fully Graded"),
    "a boolean of another program": ("users", "enabledUser", "True"),
    "a date of another order": ("results", "scoreDate", "09/15/2026"),
    "an id that is nowhere": ("results", "lineItemSourcedId", str(uuid.uuid4())),
    "a line break": ("results", "comment", "one\ntwo"),
    "no title": ("lineItems", "title", ""),
    "a status in a bulk file": ("orgs", "status", "active"),
    "a score out of range": ("results", "score", "5.0"),
    "a primary student": ("enrollments", "primary", "true"),
    "an exact end": ("academicSessions", "endDate", "2026-08-24"),
}


@pytest.mark.parametrize("kind", WRONG)
def test_the_checker_notices(
    kind: str, gradebook: Callable[[], bytes], graded: list[Coupon]
) -> None:
    name, column, value = WRONG[kind]
    tables = checker.read(gradebook())
    tables[name][0][column] = value
    head = checker.TABLES[name].replace("*", "").split()
    out = oneroster_sets.written(head, tables[name])
    with zipfile.ZipFile(io.BytesIO(gradebook())) as archive:
        members = {each: archive.read(each) for each in archive.namelist()}
    assert checker.problems(oneroster_sets.pack(members | {f"{name}.csv": out})) != []


def test_the_best_level_is_the_result_and_the_competency_its_objective(
    gradebook: Callable[[], bytes], graded: list[Coupon], exercise: Exercise
) -> None:
    tables = checker.read(gradebook())
    (result,) = tables["results"]
    assert (result["score"], result["scoreStatus"]) == ("4.0", "partially graded")
    assert (result["scoreDate"], result["comment"]) == ("2026-09-15", "1 of 2 good.")
    (item,) = tables["lineItems"]
    assert (item["title"], item["resultValueMin"], item["resultValueMax"]) == (
        "1 Tee",
        "1.0",
        "4.0",
    )
    # Due at the end of week 4 of a term that begins on August 24.
    assert (item["assignDate"], item["dueDate"]) == ("2026-08-24", "2026-09-20")
    (taught,) = tables["lineItemLearningObjectiveIds"]
    (reached,) = tables["resultLearningObjectiveIds"]
    assert taught["learningObjectiveId"] == reached["learningObjectiveId"]
    assert (reached["score"], reached["textScore"]) == ("3.0", "nearly there")


def test_a_competency_that_is_signed_off_is_reached(
    gradebook: Callable[[], bytes], graded: list[Coupon], exercise: Exercise, instructor: User
) -> None:
    grade_coupon(graded[2], instructor)
    SignOff.objects.create(
        enrolment=graded[0].enrolment, exercise=exercise, signed_by=instructor, signed_at=AT
    )
    tables = checker.read(gradebook())
    (result,), (reached,) = tables["results"], tables["resultLearningObjectiveIds"]
    assert (result["scoreStatus"], result["inProgress"]) == ("fully graded", "false")
    assert (reached["score"], reached["textScore"]) == ("4.0", "competent")


def test_what_waits_is_submitted_and_what_is_held_too(
    gradebook: Callable[[], bytes], coupon: Coupon, instructor: User
) -> None:
    (result,) = checker.read(gradebook())["results"]
    assert (result["scoreStatus"], result["score"]) == ("submitted", "")
    grade_coupon(coupon, instructor, level=4)
    Coupon.objects.filter(pk=coupon.pk).update(state=Coupon.State.HELD, grade=None)
    (result,) = checker.read(gradebook())["results"]
    assert (result["scoreStatus"], result["score"]) == ("submitted", "")


def test_what_nobody_began_has_no_result_and_a_file_without_rows_is_absent(
    gradebook: Callable[[], bytes], enrolment: Enrolment, exercise: Exercise
) -> None:
    tables = checker.read(gradebook())
    assert "results" not in tables
    assert "resultLearningObjectiveIds" not in tables
    assert len(tables["lineItems"]) == 1
    assert checker.problems(gradebook()) == []


def test_the_end_of_a_term_is_the_first_day_after_it(
    gradebook: Callable[[], bytes], enrolment: Enrolment
) -> None:
    (term,) = checker.read(gradebook())["academicSessions"]
    last = enrolment.section.term.ends_on
    assert last == date(2026, 11, 15)
    assert (term["startDate"], term["endDate"], term["schoolYear"]) == (
        "2026-08-24",
        "2026-11-16",
        "2027",
    )


@pytest.mark.parametrize(
    ("starts_on", "year"),
    [(date(2026, 8, 24), 2027), (date(2027, 1, 11), 2027), (date(2027, 6, 1), 2027)],
)
def test_a_school_year_has_the_number_of_the_year_it_ends_in(starts_on: date, year: int) -> None:
    assert school_year(starts_on) == year


# --- the same people, read in again


@pytest.mark.postgres
def test_our_own_import_finds_the_same_people_and_nothing_to_change(
    gradebook: Callable[[], bytes], graded: list[Coupon], classmate: User, section: Section
) -> None:
    User.objects.filter(pk=classmate.pk).update(source_id="sis-77")
    (found,) = oneroster.read(gradebook())
    assert found.teachers == ("Hale, Odo",)
    diff = compare(section, found.students, complete=True)
    assert diff.problems == ()
    assert diff.is_empty
    assert {each.user for each in diff.unchanged} == {graded[0].enrolment.user, classmate}


def test_ids_of_a_roster_are_kept_and_all_others_are_lower_case_uuids(
    gradebook: Callable[[], bytes], graded: list[Coupon], classmate: User, section: Section
) -> None:
    User.objects.filter(pk=classmate.pk).update(source_id="sis-77")
    Section.objects.filter(pk=section.pk).update(source_id="class-3")
    tables = checker.read(gradebook())
    assert [row["sourcedId"] for row in tables["classes"]] == ["class-3"]
    own = [
        row["sourcedId"]
        for name, rows in tables.items()
        if name not in {"manifest", "classes"}
        for row in rows
    ]
    own.remove("sis-77")
    assert all(str(uuid.UUID(each)) == each for each in own)
    assert len(set(own)) == len(own)


def test_equal_sections_give_equal_bytes_and_ids_outlast_a_new_name(
    gradebook: Callable[[], bytes], graded: list[Coupon], student: User
) -> None:
    before = gradebook()
    assert gradebook() == before
    User.objects.filter(pk=student.pk).update(last_name="Newname", username="new")
    first, second = (checker.read(each)["users"] for each in (before, gradebook()))
    assert {row["sourcedId"] for row in first} == {row["sourcedId"] for row in second}


def test_who_left_or_waits_is_not_in_the_class(
    gradebook: Callable[[], bytes], graded: list[Coupon], classmate: User, section: Section
) -> None:
    Enrolment.objects.filter(user=classmate).update(left_at=AT)
    EnrolmentFactory.create(section=section, waits_for_approval=True)
    assert [row["username"] for row in checker.read(gradebook())["users"]] == ["ansa", "odo"]


# --- hostile text


def test_hostile_text_is_exact_on_one_line_and_no_apostrophe_is_put_before_it(
    gradebook: Callable[[], bytes], section: Section, instructor: User
) -> None:
    log_hostile_section(section, instructor)
    made = gradebook()
    assert checker.problems(made) == []
    given = {row["givenName"] for row in checker.read(made)["users"]}
    harmless = [text for text in HOSTILE if text.isprintable() and len(text) <= 150]
    assert set(harmless) <= given
    assert "first second third fourth" in given
    assert "bell null escape delete next end" in {" ".join(each.split()) for each in given}
    assert "W" * 150 in given


def test_hostile_text_is_read_in_again(
    gradebook: Callable[[], bytes], section: Section, instructor: User
) -> None:
    log_hostile_section(section, instructor)
    (found,) = oneroster.read(gradebook())
    diff = compare(section, found.students, complete=True)
    assert diff.problems == ()
    assert (len(diff.changes), diff.leaving) == (len(HOSTILE), ())


def test_it_costs_the_same_queries_for_any_number_of_students(
    section: Section, instructor: User, exercise: Exercise, tmp_path: Path
) -> None:
    ExerciseFactory.create(plan=section.plan, check_test="saw", in_a_row_wanted=2)
    for number in (1, 8):
        for _ in range(number):
            hand_in_coupon(EnrolmentFactory.create(section=section), exercise)
        assert queries_of("gradebook.zip", section, instructor, tmp_path) <= 11
