"""Every act that matters leaves a row in the audit table; what changes nothing leaves none."""

import uuid
from datetime import date

import pytest
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from coursework import (
    check_tests,
    exercises,
    grading,
    hand_in,
    issuing,
    joining,
    limit_confirming,
    moving,
    plans,
    roster,
    rostering,
    rubrics,
    school_settings,
    sign_in_codes,
    sign_offs,
    staffing,
    terms,
)
from coursework.models import (
    Act,
    AuditRow,
    Coupon,
    CoursePlan,
    Enrolment,
    Exercise,
    Grade,
    School,
    Section,
    User,
)
from coursework.roster_diff import compare
from tests.factories import (
    MOMENT,
    EnrolmentFactory,
    ExerciseFactory,
    RubricFactory,
    clean_document,
    grade_coupon,
    hand_in_coupon,
)

type Told = list[tuple[str, str]]


@pytest.fixture(autouse=True)
def nothing_so_far(school: School) -> None:
    """Begin with an audit table without rows."""
    assert not AuditRow.objects.exists()


def told() -> Told:
    """Return what was done and by whom, as the audit table has it."""
    return list(AuditRow.objects.values_list("act", "actor_name"))


def last() -> AuditRow:
    found = AuditRow.objects.last()
    assert found
    return found


def grade(coupon: Coupon, grader: User, level: int = 3, **more: object) -> Grade:
    version = coupon.exercise.rubric.current()
    asked = version.criteria.filter(check_test=False)
    return grading.grade_coupon(
        coupon,
        based_on=coupon.version,
        grader=grader,
        rubric_version=version,
        scores={each.key: level for each in asked},
        decision=Grade.Decision.ACCEPTED if level > 2 else Grade.Decision.RETURNED,
        at=MOMENT,
        **more,  # type: ignore[arg-type]
    )


class TestGrades:
    """Given, given again, held, released, taken back, signed off."""

    def test_given_and_given_again(self, coupon: Coupon, instructor: User) -> None:
        grade(coupon, instructor)
        grade(coupon, instructor, 2, reason="Cut open.")
        assert told() == [(Act.GRADE_GIVEN, "Odo Hale"), (Act.REGRADED, "Odo Hale")]
        assert last().changes == [
            ("decision", "accepted", "returned"),
            ("grade", 1, 2),
            ("level", 3, 2),
        ]
        assert last().reason == "Cut open."

    @pytest.mark.postgres
    def test_held_and_released_together(
        self,
        enrolment: Enrolment,
        exercise: Exercise,
        instructor: User,
        django_assert_max_num_queries: DjangoAssertNumQueries,
    ) -> None:
        for _coupon in range(6):
            grade(hand_in_coupon(enrolment, exercise), instructor, hold=True)
        held = Coupon.objects.filter(enrolment=enrolment).select_related(
            "enrolment__user", "exercise"
        )
        # Five a coupon; for all together: list, savepoint and its end, lock, head, one insert.
        with django_assert_max_num_queries(5 * 6 + 6):
            assert grading.release(held, by=instructor, at=MOMENT) == 6
        acts = [act for act, _who in told()]
        assert acts == [Act.GRADE_HELD] * 6 + [Act.GRADE_RELEASED] * 6
        assert last().about_name.endswith(f"of Ansa Quill, {exercise.title}")
        assert grading.release(held, by=instructor, at=MOMENT) == 0
        assert len(told()) == 12

    def test_taken_back(self, coupon: Coupon, instructor: User) -> None:
        grade(coupon, instructor)
        grading.take_back(coupon, by=instructor, at=MOMENT)
        assert told()[-1] == (Act.GRADE_TAKEN_BACK, "Odo Hale")
        assert ("level", 3, None) in last().changes

    def test_signed_off_once(
        self, enrolment: Enrolment, exercise: Exercise, instructor: User
    ) -> None:
        for _time in range(exercise.good_coupons_wanted):
            grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
        for _press in range(2):
            sign_offs.sign_off(enrolment, exercise, by=instructor, at=MOMENT)
        assert told() == [(Act.SIGNED_OFF, "Odo Hale")]
        assert last().about_name == f"{exercise.title} of Ansa Quill"

    def test_a_check_test(self, enrolment: Enrolment, plan: CoursePlan, instructor: User) -> None:
        bend = ExerciseFactory.create(plan=plan, check_test=Exercise.CheckTest.BEND)
        coupon = hand_in_coupon(enrolment, bend)
        check_tests.record(coupon, check_tests.Seen(passed=False), by=instructor, at=MOMENT)
        assert told() == [(Act.CHECK_TEST_RECORDED, "Odo Hale")]
        assert ("passed", None, False) in last().changes

    def test_a_refused_grade_leaves_none(self, coupon: Coupon, instructor: User) -> None:
        with pytest.raises(ValueError, match="does not pass"):
            grading.grade_coupon(
                coupon,
                based_on=coupon.version,
                grader=instructor,
                rubric_version=coupon.exercise.rubric.current(),
                scores={each.key: 1 for each in coupon.exercise.rubric.current().criteria.all()},
                decision=Grade.Decision.ACCEPTED,
                at=MOMENT,
            )
        assert told() == []


class TestCoupons:
    """Corrected, withdrawn, logged for somebody; a coupon handed in by its student is no row."""

    def test_handed_in_corrected_withdrawn(self, coupon: Coupon, student: User) -> None:
        assert told() == []
        statement = hand_in.Statement(
            document=clean_document(coupon.exercise, current_a=120), reason="Read it wrong."
        )
        hand_in.correct(coupon, statement, based_on=coupon.version, user=student, at=MOMENT)
        assert (last().act, last().reason) == (Act.COUPON_CORRECTED, "Read it wrong.")
        hand_in.withdraw(coupon, based_on=coupon.version, by=student)
        assert told()[1:] == [(Act.COUPON_WITHDRAWN, "Ansa Quill")]

    def test_logged_for_a_student(
        self, enrolment: Enrolment, exercise: Exercise, instructor: User
    ) -> None:
        for _sent in range(2):
            hand_in.hand_in(
                enrolment,
                exercise,
                hand_in.Statement(document=clean_document(exercise)),
                client_id=uuid.UUID(int=1),
                content_hash="x",
                photos=(),
                logged_by=instructor,
                at=MOMENT,
            )
        assert told() == [(Act.LOGGED_ON_BEHALF, "Odo Hale")]
        assert "Ansa Quill" in last().about_name


def test_a_record_with_its_fingerprint(graded_coupon: Coupon, instructor: User) -> None:
    issued = issuing.issue(graded_coupon.enrolment, instructor, MOMENT, after_issue=0)
    assert told() == [(Act.RECORD_ISSUED, "Odo Hale")]
    assert last().about_key == str(issued.pk)
    assert ("sha256", None, issued.sha256) in last().changes


class TestOffice:
    """Terms, staff, students, codes, settings."""

    def test_a_term(self, school: School, coordinator: User) -> None:
        days = {"starts_on": date(2027, 1, 11), "ends_on": date(2027, 5, 7)}
        term = terms.open_term(school, name="Spring 2027", by=coordinator, **days)
        for _time in range(2):
            terms.rename(term, name="Spring", by=coordinator, **days)
        for _time in range(2):
            terms.close(term, by=coordinator, at=MOMENT)
        for _time in range(2):
            terms.reopen(term, by=coordinator)
        acts = (Act.TERM_OPENED, Act.TERM_CHANGED, Act.TERM_CLOSED, Act.TERM_REOPENED)
        assert told() == [(act, "Runa Moss") for act in acts]
        assert AuditRow.objects.all()[1].changes == [("name", "Spring 2027", "Spring")]

    def test_a_section_and_who_teaches_it(
        self, section: Section, instructor: User, other_instructor: User, coordinator: User
    ) -> None:
        both = [instructor, other_instructor]
        opened = terms.open_section(
            section.term,
            section.plan,
            name="C",
            instructors=both,
            lead=None,
            by=coordinator,
            at=MOMENT,
        )
        for _time in range(2):
            staffing.set_instructors(
                opened, [instructor], lead=instructor, by=coordinator, at=MOMENT
            )
        assert [act for act, _who in told()] == [
            Act.SECTION_OPENED,
            Act.SECTION_STAFF_CHANGED,
            Act.SECTION_STAFF_CHANGED,
        ]
        assert last().changes == [
            ("instructors", ["odo", "pim"], ["odo"]),
            ("lead", None, "odo"),
        ]

    def test_staff_and_their_access(self, school: School, coordinator: User) -> None:
        added = staffing.add(
            school,
            username="new",
            first_name="Nea",
            last_name="Wren",
            role=User.Role.INSTRUCTOR,
            by=coordinator,
        )
        staffing.change_role(added, User.Role.COORDINATOR, by=coordinator)
        staffing.change_role(added, User.Role.COORDINATOR, by=coordinator)
        assert last().changes == [("role", "instructor", "coordinator")]
        staffing.end_access(added, by=coordinator)
        staffing.give_access_back(added, by=coordinator)
        acts = (Act.STAFF_ADDED, Act.ROLE_CHANGED, Act.ACCESS_ENDED, Act.ACCESS_GIVEN_BACK)
        assert told() == [(act, "Runa Moss") for act in acts]
        assert last().about_name == "Nea Wren"

    def test_a_code_and_the_password_chosen_with_it(self, student: User, instructor: User) -> None:
        typed = sign_in_codes.make(student, by=instructor, at=timezone.now())
        code = sign_in_codes.find("ansa", typed, address="", at=timezone.now())
        assert code
        sign_in_codes.choose_password(code, "brush the other way", at=timezone.now())
        assert told() == [
            (Act.SIGN_IN_CODE_MADE, "Odo Hale"),
            (Act.PASSWORD_CHOSEN, "Ansa Quill"),
        ]
        texts = AuditRow.objects.values_list("before", "after", "reason", "about_name")
        assert not any(typed in text or "brush" in text for row in texts for text in row)

    def test_a_student_who_moves(
        self, enrolment: Enrolment, other_section: Section, coordinator: User
    ) -> None:
        moving.move(enrolment, other_section, by=coordinator, reason="Works days.", at=MOMENT)
        assert told() == [(Act.STUDENT_MOVED, "Runa Moss")]
        assert last().changes == [("section", "ALW 12, Section A", "ALW 12, Section B")]
        assert last().reason == "Works days."

    def test_a_roster_and_who_is_taken_out_and_back(
        self, section: Section, enrolment: Enrolment, instructor: User
    ) -> None:
        rows = roster.read("last_name,first_name\nRook,Cilla\nTansy,Bero\n").rows
        shown = compare(section, rows, complete=False)
        rostering.apply(
            section, rows, complete=False, fingerprint=shown.fingerprint, by=instructor, at=MOMENT
        )
        assert ("new", None, 2) in last().changes
        for _time in range(2):
            rostering.take_out(section, [enrolment.pk], by=instructor, at=MOMENT)
        for _time in range(2):
            rostering.take_back(section, [enrolment.pk], by=instructor)
        acts = (Act.ROSTER_APPLIED, Act.STUDENTS_TAKEN_OUT, Act.STUDENTS_TAKEN_BACK)
        assert told() == [(act, "Odo Hale") for act in acts]
        assert last().about_name == "Ansa Quill in ALW 12, Section A"

    def test_who_asked_to_join(self, section: Section, instructor: User) -> None:
        wait = [EnrolmentFactory.create(section=section, waits_for_approval=True) for _ in range(2)]
        joining.let_in(section, [wait[0].pk], by=instructor)
        joining.decline(section, [wait[1].pk], by=instructor)
        assert told() == [(Act.JOIN_REQUEST_DECIDED, "Odo Hale")] * 2
        said = [row.changes for row in AuditRow.objects.all()]
        assert said == [[("decision", None, "let in")], [("decision", None, "declined")]]
        assert last().about_name.startswith(str(wait[1].user))

    def test_how_a_section_is_joined(self, section: Section, instructor: User) -> None:
        for _time in range(2):
            joining.set_joining(
                section, is_open=False, ends_at=None, needs_approval=False, by=instructor
            )
        joining.renew_code(section, by=instructor)
        assert [act for act, _who in told()] == [Act.JOINING_CHANGED, Act.JOIN_CODE_RENEWED]
        assert section.join_code not in last().after

    def test_settings_and_limits(self, school: School, coordinator: User, instructor: User) -> None:
        settings = school.settings
        for _time in range(2):
            school_settings.change(settings, by=coordinator, cleaning_window_h=2.0, units="shop")
        assert last().changes == [("cleaning_window_h", 4.0, 2.0)]
        own = {"name": "First term", "limits": []}
        school_settings.keep_limit_set(settings, None, own, based_on="", by=coordinator)
        school_settings.remove_limit_set(
            settings, 0, based_on=school_settings.version_of(own), by=coordinator
        )
        assert last().changes == [("limit_set", own, None)]
        limit = next(filter(limit_confirming.can_be_confirmed, limit_confirming.BY_ID.values()))
        for _time in range(2):
            limit_confirming.confirm(school, limit, by=instructor, at=MOMENT)
        for _time in range(2):
            limit_confirming.take_back(school, limit, by=instructor)
        assert [act for act, _who in told()] == [
            Act.SETTINGS_CHANGED,
            Act.LIMIT_SETS_CHANGED,
            Act.LIMIT_SETS_CHANGED,
            Act.LIMIT_CONFIRMED,
            Act.LIMIT_TAKEN_BACK,
        ]
        assert last().about_key == limit.id


class TestPlans:
    """Plans, exercises and rubric versions."""

    def test_the_plan_that_ships_and_a_copy(self, school: School, coordinator: User) -> None:
        first = plans.lay_out_first_plan(school, by=coordinator, at=MOMENT)
        exercises.start_plan(school, "OWN", "Own", first, by=coordinator)
        assert told() == [(Act.PLAN_STARTED, "Runa Moss")] * 2

    def test_exercises(self, plan: CoursePlan, exercise: Exercise, coordinator: User) -> None:
        asked = exercises.asked_of(exercise)
        added = exercises.add(plan, asked, by=coordinator)
        wider = exercises.Asked({**asked.columns, "due_week": 9}, asked.windows)
        for _time in range(2):
            based_on = exercises.fingerprint(Exercise.objects.get(pk=added.pk))
            exercises.change(added, wider, based_on=based_on, by=coordinator, at=MOMENT)
        assert last().changes == [("due_week", asked.columns["due_week"], 9)]
        order = exercises.order_of(plan)
        exercises.retire(plan, added.pk, based_on=order, by=coordinator, at=MOMENT)
        order = exercises.order_of(plan)
        exercises.bring_back(plan, added.pk, based_on=order, by=coordinator)
        assert [act for act, _who in told()] == [
            Act.EXERCISE_ADDED,
            Act.EXERCISE_CHANGED,
            Act.EXERCISE_RETIRED,
            Act.EXERCISE_BROUGHT_BACK,
        ]

    def test_an_exercise_that_is_replaced(self, coupon: Coupon, coordinator: User) -> None:
        exercise = Exercise.objects.get(pk=coupon.exercise_id)
        asked = exercises.asked_of(exercise)
        thicker = exercises.Asked({**asked.columns, "thickness_mm": 6.4}, asked.windows)
        based_on = exercises.fingerprint(exercise)
        new = exercises.change(exercise, thicker, based_on=based_on, by=coordinator, at=MOMENT)
        assert ("key", exercise.pk, new.pk) in last().changes
        assert ("thickness_mm", 3.2, 6.4) in last().changes

    def test_a_rubric_version(self, school: School, coordinator: User) -> None:
        rubric = RubricFactory.create(school=school)
        newest = rubrics.newest(rubric)
        rows, based_on = rubrics.rows_of(newest), rubrics.fingerprint(newest)
        rubrics.publish(rubric, rows, based_on=based_on, by=coordinator, at=MOMENT)
        assert told() == [(Act.RUBRIC_PUBLISHED, "Runa Moss")]
        assert last().about_name == f"{rubric}, version 2"
