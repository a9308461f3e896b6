"""A one-time code on paper: made, printed, used once."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils import timezone

from coursework import sign_in_codes
from coursework.models import SignInCode, User
from coursework.models.section import JOIN_ALPHABET
from coursework.sign_in_codes import TRIES_A_NAME

pytestmark = pytest.mark.django_db
PASSWORD = "quiet torch on the bench"  # noqa: S105 - of an invented person
CHOSEN = {"new_password1": PASSWORD, "new_password2": PASSWORD}
NOT_TOGETHER = "This user name and password do not go together."


@pytest.fixture(autouse=True)
def no_tries_yet() -> None:
    cache.clear()


@pytest.fixture
def code(student: User, instructor: User) -> str:
    return sign_in_codes.make(student, by=instructor, at=timezone.now())


def try_code(client: Client, user: User, code: str) -> Any:
    return client.post("/sign-in/", {"username": user.username, "password": code})


class TestUse:
    """Once, with the user name, for a day."""

    def test_it_leads_to_a_password_and_signs_in(
        self, client: Client, student: User, code: str
    ) -> None:
        answer = try_code(client, student, code)
        assert answer.headers["Location"] == "/sign-in/new-password/"
        assert str(student) in client.get("/sign-in/new-password/").text
        assert client.post("/sign-in/new-password/", CHOSEN).headers["Location"] == "/"
        assert client.get("/", follow=True).redirect_chain[-1][0] == "/bench/"
        assert User.objects.get(pk=student.pk).check_password(PASSWORD)
        assert SignInCode.objects.get().used_at is not None

    @pytest.mark.parametrize("spelling", ["{0}-{1}", "{0} {1}", "{0}{1}"])
    def test_however_it_is_typed(
        self, client: Client, student: User, code: str, spelling: str
    ) -> None:
        typed = spelling.format(code[:4], code[4:]).lower()
        student.username = student.username.upper()
        assert try_code(client, student, typed).status_code == 302

    def test_used_it_opens_nothing(self, client: Client, student: User, code: str) -> None:
        try_code(client, student, code)
        client.post("/sign-in/new-password/", CHOSEN)
        again = Client()
        answer = try_code(again, student, code)
        assert answer.status_code == 422
        assert NOT_TOGETHER in answer.text

    def test_two_browsers_with_one_code_choose_one_password(
        self, client: Client, student: User, code: str
    ) -> None:
        other = Client()
        for each in (client, other):
            try_code(each, student, code)
        client.post("/sign-in/new-password/", CHOSEN)
        answer = other.post(
            "/sign-in/new-password/",
            {"new_password1": "another torch at night", "new_password2": "another torch at night"},
        )
        assert answer.headers["Location"] == "/sign-in/"
        assert User.objects.get(pk=student.pk).check_password(PASSWORD)

    @pytest.mark.postgres
    def test_of_two_who_found_it_only_the_first_uses_it(self, student: User, code: str) -> None:
        now = timezone.now()
        found = sign_in_codes.find(student.username, code, address="", at=now)
        assert found
        sign_in_codes.choose_password(found, PASSWORD, at=now)
        with pytest.raises(sign_in_codes.CodeIsOver):
            sign_in_codes.choose_password(found, "another torch at night", at=now)
        assert User.objects.get(pk=student.pk).check_password(PASSWORD)

    def test_a_weak_password_does_not_use_it_up(
        self, client: Client, student: User, code: str
    ) -> None:
        try_code(client, student, code)
        answer = client.post("/sign-in/new-password/", {"new_password1": "a", "new_password2": "a"})
        assert answer.status_code == 422
        assert client.post("/sign-in/new-password/", CHOSEN).headers["Location"] == "/"

    def test_after_a_day_it_is_over(self, client: Client, student: User, instructor: User) -> None:
        old = timezone.now() - timedelta(hours=24, seconds=1)
        code = sign_in_codes.make(student, by=instructor, at=old)
        assert try_code(client, student, code).status_code == 422

    def test_it_is_over_while_the_password_is_being_chosen(
        self, client: Client, student: User, code: str
    ) -> None:
        try_code(client, student, code)
        SignInCode.objects.update(expires_at=timezone.now())
        answer = client.post("/sign-in/new-password/", CHOSEN)
        assert answer.headers["Location"] == "/sign-in/"
        assert not User.objects.get(pk=student.pk).check_password(PASSWORD)

    def test_a_new_code_ends_the_old_one(
        self, client: Client, student: User, instructor: User, code: str
    ) -> None:
        newer = sign_in_codes.make(student, by=instructor, at=timezone.now())
        assert try_code(client, student, code).status_code == 422
        assert try_code(client, student, newer).status_code == 302

    def test_it_is_of_one_person(self, client: Client, classmate: User, code: str) -> None:
        assert try_code(client, classmate, code).status_code == 422

    def test_an_account_without_access_stays_shut(
        self, client: Client, student: User, code: str
    ) -> None:
        User.objects.filter(pk=student.pk).update(is_active=False)
        assert try_code(client, student, code).status_code == 422

    def test_other_devices_are_signed_out(
        self, client: Client, client_of: Callable[[User], Client], student: User, code: str
    ) -> None:
        elsewhere = client_of(student)
        assert elsewhere.get("/bench/").status_code == 200
        try_code(client, student, code)
        client.post("/sign-in/new-password/", CHOSEN)
        assert elsewhere.get("/bench/").status_code == 302

    @pytest.mark.usefixtures("student")
    def test_without_a_code_no_password_is_chosen(self, client: Client) -> None:
        assert client.post("/sign-in/new-password/", CHOSEN).headers["Location"] == "/sign-in/"

    @pytest.mark.usefixtures("code")
    def test_the_password_still_signs_in_meanwhile(self, client: Client, student: User) -> None:
        student.set_password(PASSWORD)
        student.save()
        assert try_code(client, student, PASSWORD).headers["Location"] == "/"


class TestThrottle:
    """Ten wrong codes an hour for one user name, whether it exists or not."""

    @pytest.mark.parametrize("known", [True, False])
    def test_the_eleventh_is_not_looked_at(
        self, client: Client, student: User, code: str, known: bool
    ) -> None:
        who = student if known else User(username="nobody")
        for _time in range(TRIES_A_NAME):
            assert NOT_TOGETHER in try_code(client, who, "22222222").text
        answer = try_code(client, who, code)
        assert answer.status_code == 422
        assert "Too many codes were tried." in answer.text

    def test_wrong_passwords_that_are_no_code_count_for_nothing(
        self, client: Client, student: User, code: str
    ) -> None:
        for _time in range(TRIES_A_NAME):
            try_code(client, student, "not this one")
        assert try_code(client, student, code).status_code == 302

    def test_another_name_is_not_held_up(
        self, client: Client, student: User, classmate: User, code: str
    ) -> None:
        for _time in range(TRIES_A_NAME):
            try_code(client, classmate, "22222222")
        assert try_code(client, student, code).status_code == 302


class TestMake:
    """Made by an instructor for the own students, by the coordinator for everybody."""

    def test_the_slip_shows_it_once_and_only_a_hash_is_kept(
        self, client: Client, student: User, instructor: User
    ) -> None:
        client.force_login(instructor)
        address = f"/people/{student.pk}/sign-in-code/"
        page = client.post(address)
        stored = SignInCode.objects.get()
        shown = page.context["code"]
        bare = shown.replace("-", "")
        assert len(bare) == 8
        assert set(bare) <= set(JOIN_ALPHABET)
        assert shown in page.text
        assert student.username in page.text
        assert "http://testserver/sign-in/" in page.text
        assert "no-store" in page.headers["Cache-Control"]
        assert bare not in stored.code_hash
        assert stored.made_by == instructor
        assert stored.expires_at - stored.made_at == timedelta(hours=24)
        listed = client.get(address).text
        assert shown not in listed
        assert f"made by {instructor}" in listed

    @pytest.mark.parametrize("whose", ["instructor", "coordinator"])
    @pytest.mark.usefixtures("coordinator")
    def test_an_instructor_makes_none_for_staff(
        self, client: Client, instructor: User, request: pytest.FixtureRequest, whose: str
    ) -> None:
        client.force_login(instructor)
        user = request.getfixturevalue(whose)
        assert client.post(f"/people/{user.pk}/sign-in-code/").status_code == 404
        assert not SignInCode.objects.exists()

    def test_a_coordinator_makes_one_for_staff(
        self, client: Client, instructor: User, coordinator: User
    ) -> None:
        client.force_login(coordinator)
        assert client.post(f"/people/{instructor.pk}/sign-in-code/").status_code == 200
        assert SignInCode.objects.get().user == instructor

    def test_none_for_who_left_the_section(
        self, client: Client, student: User, instructor: User
    ) -> None:
        student.enrolments.update(left_at=timezone.now())
        client.force_login(instructor)
        assert client.post(f"/people/{student.pk}/sign-in-code/").status_code == 404

    def test_none_for_an_account_without_access(
        self, client: Client, student: User, coordinator: User
    ) -> None:
        User.objects.filter(pk=student.pk).update(is_active=False)
        client.force_login(coordinator)
        answer = client.post(f"/people/{student.pk}/sign-in-code/")
        assert answer.status_code == 409
        assert "has no access. Give it back first." in answer.text
