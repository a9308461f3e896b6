"""Signing in, signing out, and where one lands."""

from typing import Any

import pytest
from django.test import Client

from coursework.models import User

pytestmark = pytest.mark.django_db
PASSWORD = "quiet torch on the bench"  # noqa: S105 - of an invented person


@pytest.fixture
def signed_up(student: User) -> User:
    student.set_password(PASSWORD)
    student.save()
    return student


def send(client: Client, user: User, password: str = PASSWORD, **more: str) -> Any:
    return client.post("/sign-in/", {"username": user.username, "password": password, **more})


def test_the_right_password_leads_to_the_bench(client: Client, signed_up: User) -> None:
    assert send(client, signed_up).headers["Location"] == "/"
    assert client.get("/").headers["Location"] == "/bench/"


def test_a_phone_that_begins_the_user_name_with_a_capital_gets_in(
    client: Client, signed_up: User
) -> None:
    signed_up.username = signed_up.username.capitalize()
    assert send(client, signed_up).status_code == 302


def test_the_wrong_password_keeps_the_user_name(client: Client, signed_up: User) -> None:
    answer = send(client, signed_up, "not this one")
    assert answer.status_code == 422
    assert f'value="{signed_up.username}"' in answer.text
    assert "<title>Error:" in answer.text


def test_an_unknown_account_and_a_wrong_password_read_alike(
    client: Client, signed_up: User
) -> None:
    wrong = send(client, signed_up, "not this one").text
    signed_up.is_active = False
    signed_up.save()
    unknown = client.post("/sign-in/", {"username": "nobody", "password": PASSWORD}).text
    inactive = send(client, signed_up).text
    sentence = "This user name and password do not go together."
    assert wrong.count(sentence) == unknown.count(sentence) == inactive.count(sentence) == 1


def test_the_session_gets_a_new_key(client: Client, signed_up: User) -> None:
    client.session["before"] = True
    before = client.session.session_key
    send(client, signed_up)
    assert client.session.session_key != before


@pytest.mark.parametrize(
    "evil",
    [
        "//evil.example/",
        "///evil.example/",
        "https://evil.example/",
        "https:evil.example",
        "http:///evil.example",
        "\\\\evil.example",
        "/\\evil.example",
        "\t//evil.example",
        " //evil.example",
        "javascript:alert(1)",
        "JavaScript:alert(1)",
        "data:text/html,x",
        "ftp://evil.example/",
        "//user@evil.example/",
        "https://testserver@evil.example/",
        "https://testserver.evil.example/",
        "//evil.example\\@testserver/",
        "\x00//evil.example",
        "http://[::1]evil.example/",
        "https://evil.example%2f@testserver/",
    ],
)
def test_signing_in_never_leads_off_the_site(client: Client, signed_up: User, evil: str) -> None:
    answer = send(client, signed_up, next=evil)
    assert answer.headers["Location"] == "/"


def test_signing_in_leads_back_to_the_page_that_asked_for_it(
    client: Client, signed_up: User
) -> None:
    asked = client.get("/coupons/").headers["Location"]
    assert asked == "/sign-in/?next=/coupons/"
    assert send(client, signed_up, next="/coupons/").headers["Location"] == "/coupons/"


def test_signing_out_takes_a_post(client: Client, signed_up: User) -> None:
    send(client, signed_up)
    assert client.get("/sign-out/").status_code == 405
    assert client.post("/sign-out/").headers["Location"] == "/sign-in/"
    assert client.get("/bench/").status_code == 302


def test_staff_land_on_their_sections(client: Client, instructor: User) -> None:
    client.force_login(instructor)
    assert client.get("/").headers["Location"] == "/sections/"


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_light_or_dark_is_kept_and_leads_back(client: Client, theme: str) -> None:
    answer = client.post("/theme/", {"next": "/guides/", "theme": theme})
    assert answer.headers["Location"] == "/guides/"
    assert f'data-theme="{theme}"' in client.get("/sign-in/").text
    assert client.post("/theme/", {"next": "//evil.example"}).headers["Location"] == "/"


def test_a_form_sent_after_the_sign_in_ran_out_says_how_to_keep_it(client: Client) -> None:
    answer = client.post("/bench/1/log/", {"voltage_v": "14"})
    assert answer.status_code == 401
    assert "Sign in in another tab" in answer.text


def test_an_address_that_takes_a_form_alone_says_so(client: Client, signed_up: User) -> None:
    send(client, signed_up)
    answer = client.get("/sign-out/")
    assert answer.status_code == 405
    assert "Nothing to see at this address" in answer.text
