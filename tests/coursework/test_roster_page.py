"""The roster page: who is in, who waits, who left, and the join code."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from coursework.models import Coupon, Enrolment, Section, User
from tests.factories import EnrolmentFactory, StudentFactory

type ClientOf = Callable[[User], Client]

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 9, 14, 15, 0, tzinfo=UTC)


@pytest.fixture
def client(client_of: ClientOf, instructor: User) -> Client:
    return client_of(instructor)


def waiting(section: Section, last_name: str = "Rook", **more: object) -> Enrolment:
    user = StudentFactory.create(school=section.term.school, first_name="Ansa", last_name=last_name)
    return EnrolmentFactory.create(section=section, user=user, waits_for_approval=True, **more)


def address(page: str, section: Section) -> str:
    return reverse(f"coursework:{page}", args=[section.pk])


def sheet(text: str, heading: str) -> str:
    """Return what stands under a heading of the page."""
    return text.partition(f">{heading}</h2>")[2].partition("</section>")[0]


def test_it_tells_who_is_in_who_waits_and_who_left(
    client: Client, section: Section, enrolment: Enrolment, classmate: User
) -> None:
    waiting(section)
    Enrolment.objects.filter(user=classmate).update(left_at=NOW)
    text = client.get(address("roster", section)).text
    assert "1 student." in text
    assert "Quill, Ansa" in sheet(text, "In the section")
    assert f"/people/{enrolment.user_id}/sign-in-code/" in sheet(text, "In the section")
    assert "Rook, Ansa" in sheet(text, "Wait to be let in")
    assert "Tansy, Ansa" in sheet(text, "Left")
    assert f"{section.join_code[:4]}-{section.join_code[4:]}" in text


def test_somebody_who_waits_under_a_name_that_is_in_is_pointed_out(
    client: Client, section: Section, enrolment: Enrolment
) -> None:
    waiting(section, "Quill")
    assert "Somebody of this name is in already" in client.get(address("roster", section)).text


def test_those_chosen_are_let_in(client: Client, section: Section) -> None:
    one, other = waiting(section), waiting(section, "Moss")
    answer = client.post(address("roster_requests", section), {"student": [one.pk]}, follow=True)
    assert "1 student let in." in answer.text
    one.refresh_from_db()
    other.refresh_from_db()
    assert (one.waits_for_approval, other.waits_for_approval) == (False, True)


def test_nothing_is_kept_of_who_is_turned_away_and_never_was_in(
    client: Client, section: Section
) -> None:
    new = waiting(section)
    before = waiting(section, "Moss", left_at=NOW)
    chosen = {"student": [new.pk, before.pk], "decline": ""}
    answer = client.post(address("roster_requests", section), chosen, follow=True)
    assert "2 students turned away." in answer.text
    assert not Enrolment.objects.filter(pk=new.pk).exists()
    before.refresh_from_db()
    assert (before.waits_for_approval, before.left_at) == (False, NOW)


@pytest.mark.parametrize("sent", ["", "x", "-1", "9" * 30, "\u0663"])
def test_what_names_nobody_changes_nothing(
    client: Client, section: Section, enrolment: Enrolment, sent: str
) -> None:
    for page in ("roster_requests", "roster_students"):
        answer = client.post(address(page, section), {"student": sent}, follow=True)
        assert "Choose at least one student" in answer.text
    enrolment.refresh_from_db()
    assert enrolment.left_at is None


def test_a_student_leaves_and_comes_back_with_the_coupons(
    client: Client, section: Section, coupon: Coupon, student: User, client_of: ClientOf
) -> None:
    chosen = {"student": [coupon.enrolment_id]}
    page = address("roster_students", section)
    assert "1 student left." in client.post(page, chosen, follow=True).text
    assert client_of(student).get("/bench/").headers["Location"] == "/join/"
    assert client_of(student).get(f"/coupons/{coupon.public_id}/").status_code == 200
    log = reverse("coursework:coupon_log", args=[coupon.exercise_id])
    assert client_of(student).get(log).status_code == 404
    assert "1 student is back." in client.post(page, chosen | {"back": ""}, follow=True).text
    assert client_of(student).get("/bench/").status_code == 200


def test_only_students_of_the_section_are_changed(
    client: Client, section: Section, instructor: User, stranger: User
) -> None:
    others = Enrolment.objects.filter(user__in=[instructor, stranger])
    client.post(address("roster_students", section), {"student": [each.pk for each in others]})
    assert not others.filter(left_at__isnull=False).exists()


def test_in_a_closed_term_the_roster_stays(
    client: Client, section: Section, enrolment: Enrolment
) -> None:
    section.term.closed_at = NOW
    section.term.save()
    waits = waiting(section)
    answer = client.post(address("roster_requests", section), {"student": [waits.pk]}, follow=True)
    assert "Fall 2026 is closed" in answer.text
    assert Enrolment.objects.get(pk=waits.pk).waits_for_approval
    page = address("roster_students", section)
    answer = client.post(page, {"student": [enrolment.pk]}, follow=True)
    assert "Fall 2026 is closed: nothing is handed in" in answer.text
    assert "The term is closed; nobody can join." in answer.text
    enrolment.refresh_from_db()
    assert enrolment.left_at is None


def test_who_waits_is_no_student_of_the_section_yet(
    client: Client, section: Section, client_of: ClientOf
) -> None:
    place = waiting(section)
    assert client.get(reverse("coursework:student", args=[place.pk])).status_code == 404
    own = client_of(place.user)
    assert own.get("/bench/").headers["Location"] == "/join/"
    assert "Your instructor has to let you in." in own.get("/join/").text


@pytest.mark.postgres
def test_thirty_students_cost_no_more_queries_than_three(
    client: Client, section: Section, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for size in (3, 30):
        for _each in range(size):
            EnrolmentFactory.create(section=section)
            waiting(section)
        with django_assert_max_num_queries(6):
            client.get(address("roster", section))
