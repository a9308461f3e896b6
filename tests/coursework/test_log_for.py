"""An instructor logs for a student without a phone; the coupon is the student's and says so."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.utils import timezone

from coursework.models import Coupon, Enrolment, Exercise, Section, User
from coursework.record import from_master, to_master
from coursework.record_making import term_record
from tests.coursework.posting import typed_coupon
from tests.factories import grade_coupon

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(enrolment: Enrolment, exercise: Exercise) -> str:
    return f"/students/{enrolment.pk}/exercises/{exercise.pk}/log/"


@pytest.fixture
def logged(client_of: Callable[[User], Client], instructor: User, address: str) -> Coupon:
    answer = client_of(instructor).post(address, typed_coupon())
    coupon = Coupon.objects.get()
    assert answer.headers["Location"] == f"/coupons/{coupon.public_id}/"
    return coupon


def test_the_student_owns_it_and_the_instructor_is_named(
    logged: Coupon, enrolment: Enrolment, instructor: User
) -> None:
    assert (logged.enrolment, logged.number, logged.logged_by) == (enrolment, 1, instructor)
    assert logged.facts
    assert logged.facts.stated_by == instructor


def test_every_page_of_it_says_who_logged_it(
    client_of: Callable[[User], Client],
    logged: Coupon,
    student: User,
    enrolment: Enrolment,
    instructor: User,
) -> None:
    said = f"Logged by {instructor}."
    assert said in client_of(student).get(f"/coupons/{logged.public_id}/").text
    assert said in client_of(instructor).get(f"/coupons/{logged.public_id}/grade/").text
    grade_coupon(logged, instructor)
    page = client_of(instructor).get(f"/students/{enrolment.pk}/record/").text
    assert f"logged by {instructor}" in page


def test_an_issued_record_keeps_it(logged: Coupon, enrolment: Enrolment, instructor: User) -> None:
    grade_coupon(logged, instructor)
    (line,) = from_master(to_master(term_record(enrolment))).coupons
    assert line.logged_by == str(instructor)


def test_a_coupon_of_the_student_alone_names_nobody(
    client: Client, student: User, coupon: Coupon
) -> None:
    client.force_login(student)
    assert "Logged by" not in client.get(f"/coupons/{coupon.public_id}/").text


def test_the_student_may_correct_it(
    client_of: Callable[[User], Client], logged: Coupon, student: User
) -> None:
    client = client_of(student)
    typed = typed_coupon(based_on="1", current_a="140")
    client.post(f"/coupons/{logged.public_id}/correct/", typed)
    logged.refresh_from_db()
    assert logged.facts
    assert logged.facts.stated_by == student
    assert logged.logged_by is not None


def test_sent_twice_it_is_there_once(
    client_of: Callable[[User], Client], instructor: User, address: str
) -> None:
    client, typed = client_of(instructor), typed_coupon()
    client.post(address, typed)
    client.post(address, typed)
    assert Coupon.objects.count() == 1


def test_the_two_lists_lead_to_the_form(
    client_of: Callable[[User], Client],
    section: Section,
    enrolment: Enrolment,
    exercise: Exercise,
    instructor: User,
    address: str,
) -> None:
    client = client_of(instructor)
    chosen = {"student": enrolment.pk, "exercise": exercise.pk}
    answer = client.post(f"/sections/{section.pk}/log/", chosen)
    assert answer.headers["Location"] == address
    page = client.get(address).text
    assert f"Log a coupon of {enrolment.user}" in page
    assert f'hx-post="/students/{enrolment.pk}/exercises/{exercise.pk}/live/"' in page


def test_a_student_or_an_exercise_from_elsewhere_is_no_choice(
    client_of: Callable[[User], Client],
    section: Section,
    stranger: User,
    exercise: Exercise,
    instructor: User,
) -> None:
    other = Enrolment.objects.get(user=stranger)
    typed = {"student": other.pk, "exercise": exercise.pk + 99}
    answer = client_of(instructor).post(f"/sections/{section.pk}/log/", typed)
    assert answer.status_code == 422
    assert "Choose a student of this section." in answer.text
    assert "Choose an exercise of this plan." in answer.text


def test_nothing_is_logged_for_who_left_or_of_what_is_retired(
    client_of: Callable[[User], Client],
    enrolment: Enrolment,
    exercise: Exercise,
    instructor: User,
    address: str,
) -> None:
    client = client_of(instructor)
    Exercise.objects.filter(pk=exercise.pk).update(retired_at=timezone.now())
    assert client.post(address, typed_coupon()).status_code == 404
    Exercise.objects.filter(pk=exercise.pk).update(retired_at=None)
    Enrolment.objects.filter(pk=enrolment.pk).update(left_at=timezone.now())
    assert client.post(address, typed_coupon()).status_code == 404
    assert not Coupon.objects.exists()


def test_the_figures_so_far_are_worked_out_for_an_instructor_too(
    client_of: Callable[[User], Client], instructor: User, address: str
) -> None:
    answer = client_of(instructor).post(address.replace("/log/", "/live/"), typed_coupon())
    assert answer.status_code == 200
    assert "Heat input" in answer.text
