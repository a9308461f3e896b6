"""Opening, closing and renewing the join code, and what that does at the door."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from coursework.models import Enrolment, Section, User

type ClientOf = Callable[[User], Client]

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 9, 14, 15, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def no_tries_yet() -> None:
    cache.clear()


@pytest.fixture
def client(client_of: ClientOf, instructor: User) -> Client:
    return client_of(instructor)


def address(section: Section) -> str:
    return reverse("coursework:join_code", args=[section.pk])


def test_a_code_works_through_the_whole_of_its_last_day_at_the_school(
    client: Client, section: Section
) -> None:
    client.post(address(section), {"is_open": "on", "last_day": "2099-09-11"})
    section.refresh_from_db()
    # America/Chicago is five hours behind UTC in September (tz database).
    assert section.join_code_expires_at == datetime(2099, 9, 12, 5, 0, tzinfo=UTC)
    assert 'value="2099-09-11"' in client.get(address(section)).text


def test_without_a_last_day_it_works_until_it_is_closed(client: Client, section: Section) -> None:
    client.post(address(section), {"is_open": "on", "last_day": "", "needs_approval": "on"})
    section.refresh_from_db()
    assert section.join_code_expires_at is None
    assert section.joining_needs_approval
    client.post(address(section), {})
    section.refresh_from_db()
    assert (section.joining_open, section.joining_needs_approval) == (False, False)


@pytest.mark.parametrize(
    ("typed", "says"),
    [("2020-01-01", "This day is over."), ("next week", "Type the day like 2026-09-14.")],
)
def test_a_last_day_that_cannot_be_one_says_what_to_type(
    client: Client, section: Section, typed: str, says: str
) -> None:
    answer = client.post(address(section), {"is_open": "on", "last_day": typed})
    assert answer.status_code == 422
    assert says in answer.text
    assert f'value="{typed}"' in answer.text
    section.refresh_from_db()
    assert section.join_code_expires_at is None


def test_a_new_code_opens_what_the_old_one_opened(
    client: Client, section: Section, stranger: User, client_of: ClientOf
) -> None:
    old = section.join_code
    client.post(address(section), {"renew": ""})
    section.refresh_from_db()
    assert section.join_code != old
    student = client_of(stranger)
    assert student.post("/join/", {"code": old}).status_code == 422
    assert student.post("/join/", {"code": section.join_code}).headers["Location"] == "/bench/"


# --- at the door


def enter(client_of: ClientOf, user: User, section: Section) -> str:
    """Type the code and return where that leads, or what the page says."""
    answer = client_of(user).post("/join/", {"code": section.join_code})
    return answer.headers.get("Location", answer.text)


def closed(section: Section) -> None:
    section.joining_open = False


def ended(section: Section) -> None:
    section.join_code_expires_at = timezone.now() - timedelta(seconds=1)


def term_closed(section: Section) -> None:
    section.term.closed_at = NOW
    section.term.save()


@pytest.mark.parametrize("shut", [closed, ended, term_closed])
def test_a_code_that_is_shut_opens_nothing_and_says_nothing_else(
    client_of: ClientOf, section: Section, stranger: User, shut: Callable[[Section], None]
) -> None:
    shut(section)
    section.save()
    assert "This code opens no section." in enter(client_of, stranger, section)
    assert not Enrolment.objects.filter(section=section, user=stranger).exists()


def test_a_code_that_ends_later_opens(
    client_of: ClientOf, section: Section, stranger: User
) -> None:
    section.join_code_expires_at = timezone.now() + timedelta(minutes=5)
    section.save()
    assert enter(client_of, stranger, section) == "/bench/"


def test_where_approval_is_wanted_the_student_waits_and_is_told_so(
    client_of: ClientOf, section: Section, stranger: User
) -> None:
    Enrolment.objects.filter(user=stranger).delete()
    section.joining_needs_approval = True
    section.save()
    assert enter(client_of, stranger, section) == "/join/"
    assert Enrolment.objects.get(user=stranger, section=section).waits_for_approval
    assert client_of(stranger).get("/bench/").headers["Location"] == "/join/"
    text = client_of(stranger).get("/join/").text
    assert f"You asked to join {section}" in text
    assert "Your instructor has to let you in." in text


def test_who_has_left_comes_back_only_when_let_in(
    client_of: ClientOf, section: Section, student: User, enrolment: Enrolment
) -> None:
    enrolment.left_at = NOW
    enrolment.save()
    assert f"You are no longer in {section}" in client_of(student).get("/join/").text
    assert enter(client_of, student, section) == "/join/"
    enrolment.refresh_from_db()
    assert (enrolment.waits_for_approval, enrolment.left_at) == (True, NOW)
