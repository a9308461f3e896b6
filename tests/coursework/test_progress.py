"""How far students are, and the page on which a student sees it."""

import uuid
from collections.abc import Callable

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries

from coursework.models import Coupon, CoursePlan, Enrolment, Exercise, SignOff, User
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
    ("logged", "good", "wanted", "signed", "expected"),
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
    logged: int, good: int, wanted: int, signed: bool, expected: State
) -> None:
    assert state(logged, good, wanted, signed=signed) == expected


type History = tuple[int, int, str]


def recount(history: list[History], signed: bool, student: int, exercise: int) -> tuple[int, ...]:
    """Count one exercise of one student again, coupon by coupon: logged, good, waiting, state."""
    own = [each for who, what, each in history if (who, what) == (student, exercise)]
    own = [each for each in own if each != "withdrawn"]
    good = own.count("accepted")
    if not own:
        found = 0
    elif good == 0:
        found = 1
    elif good < 2:
        found = 2
    elif good == 2:
        found = 3
    else:
        found = 4 if signed else 3
    return len(own), good, own.count("handed_in"), found


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    history=st.lists(
        st.tuples(st.integers(0, 2), st.integers(0, 1), st.sampled_from(STATES)), max_size=25
    ),
    signed=st.sets(st.tuples(st.integers(0, 2), st.integers(0, 1))),
)
def test_any_history_is_counted_as_a_plain_recount_counts_it(
    plan: CoursePlan, instructor: User, history: list[History], signed: set[tuple[int, int]]
) -> None:
    with transaction.atomic():
        section = SectionFactory.create(plan=plan, term__school=plan.school)
        students = [EnrolmentFactory.create(section=section) for _ in range(3)]
        exercises = [ExerciseFactory.create(plan=plan, good_coupons_wanted=3) for _ in range(2)]
        log(students, exercises, history)
        for who, what in signed:
            sign(students[who], exercises[what], instructor)
        found = states(students)
        for who, student in enumerate(students):
            for what, each in enumerate(found[student.pk][-2:]):
                expected = recount(history, (who, what) in signed, who, what)
                assert (each.logged, each.good, each.waiting, each.state) == expected
        transaction.set_rollback(True)


def log(students: list[Enrolment], exercises: list[Exercise], history: list[History]) -> None:
    Coupon.objects.bulk_create(
        Coupon(
            client_id=uuid.uuid4(),
            enrolment=students[who],
            section=students[who].section,
            exercise=exercises[what],
            number=number,
            state=each,
            handed_in_at=FIRST_DAY,
        )
        for number, (who, what, each) in enumerate(history, start=1)
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


@pytest.mark.parametrize("students", [1, 16])
def test_the_states_of_any_number_of_students_cost_three_queries(
    exercise: Exercise,
    enrolment: Enrolment,
    students: int,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    found = [EnrolmentFactory.create(section=enrolment.section) for _ in range(students)]
    for each in found:
        hand_in_coupon(each, exercise)
    with django_assert_num_queries(3):
        assert all(each[0].logged == 1 for each in states(found).values())


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
    with django_assert_max_num_queries(15):
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
