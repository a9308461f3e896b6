"""``manage.py school``: a school and its first coordinator, where there is none yet."""

import getpass
import io
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.test import Client

from coursework import usernames
from coursework.models import School, User
from tests.factories import SchoolFactory

pytestmark = pytest.mark.django_db

PASSWORD = "quiet torch on the bench"  # noqa: S105 - of an invented person
GIVEN = {"school": "Tern Harbor Technical Institute", "first_name": "Runa", "last_name": "Moss"}


def run(**options: Any) -> str:
    out = io.StringIO()
    call_command("school", stdout=out, **options)
    return out.getvalue()


def type_in(monkeypatch: pytest.MonkeyPatch, *lines: str, passwords: tuple[str, ...] = ()) -> None:
    """Let a person type these lines, and these passwords where nothing is shown."""
    typed, unseen = iter(lines), iter(passwords)

    def next_line(_prompt: str = "") -> str:
        try:
            return next(typed)
        except StopIteration:
            raise EOFError from None

    monkeypatch.setattr("builtins.input", next_line)
    monkeypatch.setattr(getpass, "getpass", lambda _prompt: next(unseen))


def pipe(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(text))


class TestAsked:
    """By a person at the keyboard, one question after the other."""

    def test_a_few_answers_make_a_school_whose_coordinator_signs_in(
        self, monkeypatch: pytest.MonkeyPatch, client: Client
    ) -> None:
        answers = (*GIVEN.values(), "", "")
        type_in(monkeypatch, *answers, passwords=(PASSWORD, PASSWORD))
        said = run()
        assert "Sign in on the site as rmoss" in said
        assert PASSWORD not in said
        client.post("/sign-in/", {"username": "rmoss", "password": PASSWORD})
        assert "First steps" in client.get("/", follow=True).text
        assert School.objects.get().settings.time_zone == "America/Chicago"

    def test_what_cannot_be_is_asked_again(self, monkeypatch: pytest.MonkeyPatch) -> None:
        answers = ("", *GIVEN.values(), "runa moss", "runa", "Mars/Olympus", "Europe/Helsinki")
        unseen = ("short", PASSWORD, "something else", PASSWORD, PASSWORD)
        type_in(monkeypatch, *answers, passwords=unseen)
        said = run()
        for complaint in (
            "This cannot be left out.",
            "may contain only letters",
            "“Mars/Olympus” is not a time zone; try America/Chicago.",
            "This password is too short.",
            "These two were not the same.",
        ):
            assert complaint in said
        assert User.objects.get().username == "runa"
        assert School.objects.get().settings.time_zone == "Europe/Helsinki"

    def test_stopped_half_way_makes_nothing(self, monkeypatch: pytest.MonkeyPatch) -> None:
        type_in(monkeypatch, "Tern Harbor Technical Institute", "Runa")
        with pytest.raises(CommandError, match="Stopped; no school was made"):
            run()
        assert not School.objects.exists()

    def test_a_name_without_latin_letters_gets_no_user_name_of_a_student(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        answers = ("Tern Harbor Technical Institute", "玲", "王", "", "ling", "")
        type_in(monkeypatch, *answers, passwords=(PASSWORD, PASSWORD))
        assert "This cannot be left out." in run()
        assert User.objects.get().username != usernames.WITHOUT_LETTERS


class TestTold:
    """By options, the password on standard input."""

    def test_options_and_a_piped_password_are_enough(self, monkeypatch: pytest.MonkeyPatch) -> None:
        pipe(monkeypatch, f"{PASSWORD}\n")
        run(**GIVEN, no_input=True, time_zone="America/Denver")
        user = User.objects.get()
        assert user.check_password(PASSWORD)
        assert (user.role, str(user.school)) == (User.Role.COORDINATOR, GIVEN["school"])

    @pytest.mark.parametrize(
        ("change", "typed", "said"),
        [
            ({"last_name": None}, PASSWORD, "--no-input needs --last-name as well"),
            ({"time_zone": "Central"}, PASSWORD, "--time-zone: “Central” is not a time zone"),
            ({"username": "a b"}, PASSWORD, "--username: "),
            ({}, "", "The password is read from standard input"),
            ({}, "tiny", "This password is too short"),
            ({}, "runa moss", "This password is too short"),
        ],
    )
    def test_what_is_missing_or_wrong_is_said_and_nothing_is_made(
        self, monkeypatch: pytest.MonkeyPatch, change: dict[str, Any], typed: str, said: str
    ) -> None:
        pipe(monkeypatch, typed)
        with pytest.raises(CommandError, match=said):
            run(**GIVEN | change, no_input=True)
        assert not School.objects.exists()


def test_a_second_school_is_refused_before_anything_is_asked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    SchoolFactory.create(name="Tern Harbor Technical Institute")
    type_in(monkeypatch)
    with pytest.raises(CommandError, match=r"Tern Harbor .* is in this database already"):
        run()
    assert School.objects.count() == 1
