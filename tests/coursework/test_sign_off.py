"""An instructor's name under an exercise."""

from collections.abc import Callable

from django.test import Client
from django.urls import reverse

from coursework.models import Enrolment, Exercise, SignOff, User
from tests.factories import CoursePlanFactory, ExerciseFactory, grade_coupon, hand_in_coupon

type ClientOf = Callable[[User], Client]


def address(enrolment: Enrolment, exercise: Exercise) -> str:
    return reverse("coursework:sign_off", args=[enrolment.pk, exercise.pk])


def make_ready(enrolment: Enrolment, exercise: Exercise, grader: User) -> None:
    for _each in range(exercise.good_coupons_wanted):
        grade_coupon(hand_in_coupon(enrolment, exercise), grader)


def test_signing_twice_is_signing_once(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    make_ready(enrolment, exercise, instructor)
    browser = client_of(instructor)
    for _each in range(2):
        page = browser.post(address(enrolment, exercise), follow=True)
        assert "Tee of Ansa Quill is signed off." in page.content.decode()
    assert SignOff.objects.get().signed_by == instructor


def test_without_the_good_coupons_it_is_refused_in_words(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    page = client_of(instructor).post(address(enrolment, exercise))
    assert page.status_code == 409
    text = " ".join(page.content.decode().split())
    assert "Tee cannot be signed off yet. Still wanted: 1 more good coupon." in text
    assert not SignOff.objects.exists()


def test_only_an_instructor_of_the_section_signs(
    client_of: ClientOf,
    instructor: User,
    other_instructor: User,
    coordinator: User,
    student: User,
    stranger: User,
    enrolment: Enrolment,
    exercise: Exercise,
) -> None:
    make_ready(enrolment, exercise, instructor)
    people = {
        other_instructor: 404,
        coordinator: 403,
        student: 403,
        stranger: 404,
        instructor: 302,
    }
    for person, status in people.items():
        page = client_of(person).post(address(enrolment, exercise))
        assert page.status_code == status, person
        assert SignOff.objects.exists() is (status == 302)


def test_an_exercise_of_another_plan_does_not_exist_here(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    make_ready(enrolment, exercise, instructor)
    elsewhere = ExerciseFactory.create(plan=CoursePlanFactory.create(school=exercise.plan.school))
    assert client_of(instructor).post(address(enrolment, elsewhere)).status_code == 404


def test_a_link_alone_signs_nothing(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    make_ready(enrolment, exercise, instructor)
    assert client_of(instructor).get(address(enrolment, exercise)).status_code == 405
    assert not SignOff.objects.exists()
