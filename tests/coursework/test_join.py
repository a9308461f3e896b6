"""Joining a section with the code on its poster."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from coursework.joining import TRIES_A_PERSON
from coursework.models import Enrolment, Section, User

pytestmark = pytest.mark.django_db
PASSWORD = "quiet torch on the bench"  # noqa: S105 - of an invented person


@pytest.fixture(autouse=True)
def no_tries_yet() -> None:
    cache.clear()


def sign_up(client: Client, code: str, **more: str) -> Any:
    typed = {
        "code": code,
        "first_name": "Ada",
        "last_name": "Winslow",
        "username": "awinslow",
        "password1": PASSWORD,
        "password2": PASSWORD,
    }
    return client.post("/join/", typed | more)


SPELLINGS: dict[str, Callable[[str], str]] = {
    "as printed": str,
    "with spaces": lambda code: f" {code} ",
    "with a hyphen": lambda code: f"{code[:4]}-{code[4:]}",
    "lower case": str.lower,
}


@pytest.mark.parametrize("spelling", SPELLINGS)
def test_a_new_student_joins_however_the_code_is_typed(
    client: Client, section: Section, spelling: str
) -> None:
    typed = SPELLINGS[spelling](section.join_code)
    assert sign_up(client, typed).headers["Location"] == "/bench/"
    enrolment = Enrolment.objects.get(user__username="awinslow")
    assert (enrolment.section, enrolment.role) == (section, "student")
    assert enrolment.user.school == section.term.school


@pytest.mark.parametrize("closed", [True, False])
def test_a_wrong_or_closed_code_says_nothing_about_the_section(
    client: Client, section: Section, closed: bool
) -> None:
    section.joining_open = not closed
    section.save()
    answer = sign_up(client, section.join_code if closed else "22222222")
    assert answer.status_code == 422
    assert "This code opens no section." in answer.text
    assert section.plan.title not in answer.text
    assert 'value="awinslow"' in answer.text
    assert not User.objects.filter(username="awinslow").exists()


def test_a_taken_user_name_says_what_to_do(client: Client, section: Section, student: User) -> None:
    answer = sign_up(client, section.join_code, username=student.username)
    assert answer.status_code == 422
    assert "This user name is taken." in answer.text


def test_a_signed_in_student_joins_once_however_often(
    client: Client, section: Section, stranger: User
) -> None:
    client.force_login(stranger)
    for _time in range(2):
        answer = client.post("/join/", {"code": section.join_code})
        assert answer.headers["Location"] == "/bench/"
    assert Enrolment.objects.filter(section=section, user=stranger).count() == 1


def test_staff_do_not_join_as_students(client: Client, section: Section, instructor: User) -> None:
    client.force_login(instructor)
    assert client.post("/join/", {"code": section.join_code}).status_code == 403


def test_the_eleventh_wrong_code_of_a_person_is_not_looked_at(
    client: Client, section: Section, stranger: User
) -> None:
    client.force_login(stranger)
    for _time in range(TRIES_A_PERSON):
        client.post("/join/", {"code": "22222222"})
    answer = client.post("/join/", {"code": section.join_code})
    assert answer.status_code == 422
    assert "Too many codes were tried from here." in answer.text
    assert not Enrolment.objects.filter(section=section, user=stranger).exists()


class TestNamesake:
    """Whoever has the name of somebody on the class list may be about to have two accounts."""

    def test_waits_while_the_one_on_the_list_has_no_password(
        self, client: Client, section: Section, student: User
    ) -> None:
        student.set_unusable_password()
        student.save()
        names = {"first_name": student.first_name.upper(), "last_name": f" {student.last_name} "}
        answer = sign_up(client, section.join_code, **names)
        assert answer.headers["Location"] == "/join/"
        assert Enrolment.objects.get(user__username="awinslow").waits_for_approval
        assert "let you in" in client.get("/join/").text

    def test_joins_where_the_other_is_somebody_else_at_work(
        self, client: Client, section: Section, student: User
    ) -> None:
        names = {"first_name": student.first_name, "last_name": student.last_name}
        assert sign_up(client, section.join_code, **names).headers["Location"] == "/bench/"


def test_a_weak_password_is_faulted_where_it_was_typed(client: Client, section: Section) -> None:
    page = sign_up(client, section.join_code, password1="short", password2="short").text
    assert "Password: This password is too short." in page
    assert "Only the password has to be typed again." in page
