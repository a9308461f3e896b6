"""How far students are, and the page on which a student sees it."""

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries

from coursework.models import (
    Assessment,
    CheckResult,
    Coupon,
    CouponFacts,
    CoursePlan,
    Enrolment,
    Exercise,
    SignOff,
    User,
)
from coursework.progress import ExerciseProgress, State, competent, state, states, states_of
from tests.coursework.records import FIRST_DAY, log_mini_term
from tests.factories import (
    EnrolmentFactory,
    ExerciseFactory,
    SectionFactory,
    grade_coupon,
    hand_in_coupon,
)

pytestmark = pytest.mark.django_db
STATES = list(Coupon.State)


@pytest.mark.parametrize(
    ("logged", "good", "wanted", "competent", "expected"),
    [
        (0, 0, 3, False, State.NOT_STARTED),
        (0, 0, 3, True, State.NOT_STARTED),
        (4, 0, 3, False, State.STARTED),
        (4, 0, 1, False, State.STARTED),
        (4, 1, 3, False, State.COMING_ALONG),
        (4, 2, 3, False, State.NEARLY_THERE),
        (4, 2, 3, True, State.NEARLY_THERE),
        (4, 3, 3, False, State.NEARLY_THERE),
        (4, 3, 3, True, State.COMPETENT),
        (9, 5, 3, True, State.COMPETENT),
    ],
)
def test_the_state_follows_from_the_counts_and_the_sign_off(
    logged: int, good: int, wanted: int, competent: bool, expected: State
) -> None:
    assert state(logged, good, wanted, competent=competent) == expected


@dataclass(frozen=True)
class Made:
    """One coupon of a made-up history: whose, of what, what became of it, and what was seen."""

    student: int
    exercise: int
    state: str
    safety_stop: bool
    tests: tuple[bool, ...]


histories = st.lists(
    st.builds(
        Made,
        student=st.integers(0, 2),
        exercise=st.integers(0, 1),
        state=st.sampled_from(STATES),
        safety_stop=st.booleans(),
        tests=st.lists(st.booleans(), max_size=2).map(tuple),
    ),
    max_size=25,
)
WANTED, IN_A_ROW = 3, 2


def longest_run(decided: list[str]) -> int:
    """Return the longest run of accepted ones, counted the long way."""
    best = 0
    for start in range(len(decided)):
        run = 0
        for each in decided[start:]:
            if each != "accepted":
                break
            run += 1
        best = max(best, run)
    return best


def recount(own: list[Made], signed: bool, *, strict: bool) -> tuple[int, ...]:
    """Count one exercise of one student again, coupon by coupon: logged, good, waiting, state.

    The strict exercise asks for two good ones in a row and a check test.
    """
    own = [each for each in own if each.state != "withdrawn"]
    good = [each for each in own if each.state == "accepted"]
    open_ones = [each for each in own if each.state in ("handed_in", "held")]
    met = len(good) >= WANTED and not any(each.safety_stop for each in open_ones)
    if strict:
        decided = [each.state for each in own if each not in open_ones]
        met = met and longest_run(decided) >= IN_A_ROW
        met = met and any(each.tests and each.tests[-1] for each in good)
    if not own:
        found = 0
    elif not good:
        found = 1
    elif len(good) < WANTED - 1:
        found = 2
    else:
        found = 4 if met and signed else 3
    return len(own), len(good), len(open_ones), found


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(history=histories, signed=st.sets(st.tuples(st.integers(0, 2), st.integers(0, 1))))
def test_any_history_is_counted_as_a_plain_recount_counts_it(
    plan: CoursePlan, instructor: User, history: list[Made], signed: set[tuple[int, int]]
) -> None:
    with transaction.atomic():
        section = SectionFactory.create(plan=plan, term__school=plan.school)
        students = [EnrolmentFactory.create(section=section) for _ in range(3)]
        exercises = [
            ExerciseFactory.create(plan=plan, good_coupons_wanted=WANTED),
            ExerciseFactory.create(
                plan=plan,
                good_coupons_wanted=WANTED,
                in_a_row_wanted=IN_A_ROW,
                check_test="break",
            ),
        ]
        log(students, exercises, history, instructor)
        for who, what in signed:
            sign(students[who], exercises[what], instructor)
        found = states(students)
        for who, student in enumerate(students):
            for what, each in enumerate(found[student.pk][-2:]):
                own = [one for one in history if (one.student, one.exercise) == (who, what)]
                expected = recount(own, (who, what) in signed, strict=what == 1)
                assert (each.logged, each.good, each.waiting, each.state) == expected
        transaction.set_rollback(True)


def log(
    students: list[Enrolment], exercises: list[Exercise], history: list[Made], tester: User
) -> None:
    for number, made in enumerate(history, start=1):
        coupon = Coupon.objects.create(
            client_id=uuid.uuid4(),
            enrolment=students[made.student],
            section=students[made.student].section,
            exercise=exercises[made.exercise],
            number=number,
            state=made.state,
            handed_in_at=FIRST_DAY + timedelta(minutes=number),
        )
        facts = CouponFacts.objects.create(
            coupon=coupon, number=1, stated_by=tester, stated_at=FIRST_DAY, process="GTAW"
        )
        coupon.assessment = Assessment.objects.create(
            facts=facts, assessed_at=FIRST_DAY, safety_stops=int(made.safety_stop)
        )
        coupon.save()
        CheckResult.objects.bulk_create(
            CheckResult(
                coupon=coupon,
                number=place,
                kind="break",
                passed=passed,
                tested_by=tester,
                tested_at=FIRST_DAY,
            )
            for place, passed in enumerate(made.tests, start=1)
        )


def sign(student: Enrolment, exercise: Exercise, instructor: User) -> None:
    SignOff.objects.create(
        enrolment=student, exercise=exercise, signed_by=instructor, signed_at=FIRST_DAY
    )


def test_what_is_missing_is_said_in_plain_words(
    enrolment: Enrolment, exercise: Exercise, instructor: User
) -> None:
    assert states_of(enrolment)[0].missing == "2 more good coupons"
    for left in ("1 more good coupon", "an instructor's sign-off"):
        grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
        assert states_of(enrolment)[0].missing == left
    assert states_of(enrolment)[0].ready_for_sign_off
    sign(enrolment, exercise, instructor)
    done = states_of(enrolment)
    assert (done[0].missing, done[0].signed_by) == ("", instructor)
    assert not done[0].ready_for_sign_off
    assert competent(done) == 1


def test_a_sign_off_does_not_outlive_the_good_coupons(
    enrolment: Enrolment, exercise: Exercise, graded_coupon: Coupon, instructor: User
) -> None:
    sign(enrolment, exercise, instructor)
    assert graded_coupon.state == Coupon.State.ACCEPTED
    assert states_of(enrolment)[0].state == State.NEARLY_THERE


@pytest.mark.parametrize(
    ("rules", "queries"),
    [({}, 3), ({"check_test": "break"}, 4), ({"check_test": "break", "in_a_row_wanted": 2}, 5)],
)
@pytest.mark.parametrize("students", [1, 16])
def test_the_states_of_any_number_of_students_cost_a_few_queries(
    exercise: Exercise,
    enrolment: Enrolment,
    students: int,
    rules: dict[str, Any],
    queries: int,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    Exercise.objects.filter(pk=exercise.pk).update(**rules)
    found = [EnrolmentFactory.create(section=enrolment.section) for _ in range(students)]
    for each in found:
        hand_in_coupon(each, exercise)
    with django_assert_num_queries(queries):
        assert all(each[0].logged == 1 for each in states(found).values())


def test_a_retired_exercise_stays_where_somebody_of_the_section_has_tried_it(
    exercise: Exercise, enrolment: Enrolment, graded_coupon: Coupon
) -> None:
    mate = EnrolmentFactory.create(section=enrolment.section)
    elsewhere = EnrolmentFactory.create(
        section=SectionFactory.create(plan=exercise.plan, term=enrolment.section.term)
    )
    Exercise.objects.filter(pk=exercise.pk).update(retired_at=FIRST_DAY)
    follower = ExerciseFactory.create(plan=exercise.plan, place=exercise.place)
    found = states([enrolment, mate, elsewhere])
    assert graded_coupon.exercise == exercise
    assert [[each.exercise for each in found[one.pk]] for one in (enrolment, mate)] == [
        [exercise, follower]
    ] * 2
    assert [each.exercise for each in found[elsewhere.pk]] == [follower]
    assert found[enrolment.pk][0].good == 1


def page(client: Client, query: str = "") -> str:
    response = client.get(reverse("coursework:progress") + query)
    assert response.status_code == 200
    return response.content.decode()


def test_a_student_sees_every_exercise_figures_and_the_own_eye(
    enrolment: Enrolment,
    exercise: Exercise,
    instructor: User,
    client_of: Callable[[User], Client],
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    log_mini_term(enrolment, exercise, instructor)
    ExerciseFactory.create(plan=exercise.plan, title="Lap")
    client = client_of(enrolment.user)
    with django_assert_max_num_queries(20):
        text = page(client)
    assert "2 of 2 good" not in text
    assert "3 of 2 good, 7 logged, 1 waiting for a grade" in text
    assert "2 Lap" in text
    assert "Travel speed" in text
    assert "Your own level matched the instructor's on 4 of 6 coupons" in text
    assert "was within one of it on 5." in text
    assert "Surface pore" in text


def test_an_exercise_is_chosen_by_its_number_and_nonsense_shows_the_newest(
    enrolment: Enrolment, exercise: Exercise, client_of: Callable[[User], Client]
) -> None:
    hand_in_coupon(enrolment, ExerciseFactory.create(plan=exercise.plan, title="Lap"))
    hand_in_coupon(enrolment, exercise, at=FIRST_DAY)
    client = client_of(enrolment.user)
    assert "Figures of 1 Tee" in page(client, "?exercise=1")
    assert "Figures of 2 Lap" in page(client, "?exercise=%00;drop")


def test_a_student_without_coupons_is_told_what_will_be_here(
    enrolment: Enrolment, exercise: Exercise, client_of: Callable[[User], Client]
) -> None:
    text = page(client_of(enrolment.user))
    assert f"0 of {exercise.good_coupons_wanted} good" in text
    assert "Log a coupon, and its figures will be drawn here." in text


def test_progress_is_for_students(
    instructor: User, coordinator: User, client_of: Callable[[User], Client]
) -> None:
    for user in (instructor, coordinator):
        assert client_of(user).get(reverse("coursework:progress")).status_code == 403


@pytest.mark.parametrize(
    ("good", "words"), [(1, "1 of 4 good"), (4, "4 of 4 good"), (6, "6 good, 4 wanted")]
)
def test_more_good_coupons_than_wanted_do_not_read_as_a_mistake(good: int, words: str) -> None:
    exercise = Exercise(good_coupons_wanted=4)
    assert ExerciseProgress(exercise, logged=good, good=good).good_of_wanted == words


def test_the_sum_speaks_of_one_coupon_and_of_several(
    client_of: Callable[[User], Client], enrolment: Enrolment, exercise: Exercise
) -> None:
    for said in ("1 coupon logged, 0 good.", "2 coupons logged, 0 good."):
        hand_in_coupon(enrolment, exercise)
        assert said in client_of(enrolment.user).get(reverse("coursework:progress")).text
