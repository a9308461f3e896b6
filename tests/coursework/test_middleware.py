"""What is true of every answer: its headers, and who is sent to sign in."""

import re

import pytest
from django.test import Client

from coursework import request_id
from coursework.models import AuditRow, Section, User

ENDINGS = ["/sign-in/", "/guides/filler/", "/no-such-page/", "/bench/"]


@pytest.mark.parametrize("address", ENDINGS)
def test_every_answer_says_what_it_may_load_and_which_devices_it_may_ask_for(
    client: Client, db: None, address: str
) -> None:
    headers = client.get(address).headers
    assert "script-src 'self';" in headers["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
    assert headers["Permissions-Policy"].startswith("camera=(self), geolocation=()")
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"


@pytest.mark.parametrize("address", ["/bench/", "/guides/filler/", "/no-such-page/"])
def test_nothing_that_a_signed_in_person_saw_is_kept(
    client: Client, student: User, address: str
) -> None:
    client.force_login(student)
    assert client.get(address).headers["Cache-Control"] == "private, no-store"


def test_an_open_page_may_be_kept(client: Client, db: None) -> None:
    assert "no-store" not in client.get("/guides/filler/").headers.get("Cache-Control", "")


def test_a_signed_out_page_is_sent_to_sign_in_and_back(client: Client, db: None) -> None:
    response = client.get("/bench/")
    assert (response.status_code, response.headers["Location"]) == (302, "/sign-in/?next=/bench/")


def test_a_signed_out_htmx_request_sends_the_whole_page_to_sign_in(
    client: Client, db: None
) -> None:
    response = client.get(
        "/bench/",
        headers={"HX-Request": "true", "HX-Current-URL": "http://testserver/progress/?pass=2"},
    )
    assert response.status_code == 200
    assert response.content == b""
    assert response.headers["HX-Redirect"] == "/sign-in/?next=/progress/%3Fpass%3D2"


def test_a_foreign_page_named_by_htmx_is_not_where_sign_in_leads(client: Client, db: None) -> None:
    headers = {"HX-Request": "true", "HX-Current-URL": "https://elsewhere.example/trap"}
    response = client.get("/bench/", headers=headers)
    assert response.headers["HX-Redirect"] == "/sign-in/?next=/"


def test_another_host_is_refused(client: Client, db: None) -> None:
    assert client.get("/sign-in/", headers={"Host": "elsewhere.example"}).status_code == 400


@pytest.mark.parametrize("sent", ["20261125-shop-0001", "a" * 64, "A_b-3456"])
def test_the_id_that_a_proxy_gives_a_request_is_kept(client: Client, sent: str) -> None:
    answer = client.get("/guides/", headers={"X-Request-ID": sent})
    assert answer.headers["X-Request-ID"] == sent


@pytest.mark.parametrize("sent", ["", "short", "a" * 65, "<script>1", "with space", "naïve-id-1"])
def test_an_id_of_another_shape_is_replaced_by_a_new_one(client: Client, sent: str) -> None:
    made = {client.get("/guides/", headers={"X-Request-ID": sent}).headers["X-Request-ID"]}
    made |= {client.get("/guides/").headers["X-Request-ID"]}
    assert len(made - {sent}) == 2
    assert all(re.fullmatch("[0-9a-f]{32}", each) for each in made)


@pytest.mark.django_db
def test_the_id_of_a_request_is_in_the_row_of_its_act_and_in_no_other(
    client: Client, coordinator: User, section: Section
) -> None:
    client.force_login(coordinator)
    address = f"/office/terms/{section.term_id}/close/"
    client.post(address, headers={"X-Request-ID": "20261125-shop-0001"})
    assert AuditRow.objects.get().request_id == "20261125-shop-0001"
    assert request_id.current.get() == ""
