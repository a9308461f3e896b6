"""The import page: a list is read, shown, confirmed; what is wrong with it changes nothing."""

import re
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from coursework.models import Enrolment, Section, User
from tests.coursework import oneroster_sets as sets
from tests.factories import EnrolmentFactory

type ClientOf = Callable[[User], Client]

pytestmark = pytest.mark.django_db
LIST = "Last name;First name;Number\nRook;Cilla;S7\nTansy;Bero;S8\n"


@pytest.fixture(params=["instructor", "coordinator"])
def client(client_of: ClientOf, request: pytest.FixtureRequest) -> Client:
    return client_of(request.getfixturevalue(request.param))


@pytest.fixture
def address(section: Section) -> str:
    return reverse("coursework:roster_import", args=[section.pk])


def hidden(text: str, name: str) -> str:
    found = re.search(rf'name="{name}"[^>]*?value="([^"]*)"', text)
    return found[1] if found else ""


def boxed(text: str) -> str:
    """Return what stands in the box of the class list."""
    return text.partition("<textarea")[2].partition(">")[2].partition("</textarea>")[0].strip()


def file(data: bytes, name: str = "list.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data)


def rows() -> tuple[list[Any], ...]:
    return (
        list(User.objects.order_by("pk").values()),
        list(Enrolment.objects.order_by("pk").values()),
        list(Section.objects.order_by("pk").values()),
    )


def test_a_list_is_shown_first_and_applied_when_confirmed(client: Client, address: str) -> None:
    before = rows()
    shown = client.post(address, {"text": LIST, "complete": "on", "step": "read"})
    assert shown.status_code == 200
    assert "New, with an account made for them (2)" in shown.text
    assert "user name crook" in shown.text
    assert rows() == before
    confirmed = {
        "text": boxed(shown.text),
        "complete": "on",
        "fingerprint": hidden(shown.text, "fingerprint"),
        "step": "apply",
    }
    done = client.post(address, confirmed, follow=True)
    assert "The list is applied: 2 students joined." in done.text
    assert User.objects.filter(username__in=["crook", "btansy"]).count() == 2


def test_the_same_list_again_changes_nothing(client: Client, address: str) -> None:
    shown = client.post(address, {"text": LIST, "complete": "on"})
    sent = {"text": LIST, "complete": "on", "step": "apply"}
    client.post(address, sent | {"fingerprint": hidden(shown.text, "fingerprint")})
    again = client.post(address, {"text": LIST, "complete": "on"})
    assert "Nothing would change" in again.text
    assert "2 stay as they are." in again.text
    assert "Apply the list" not in again.text


def test_a_list_that_was_not_shown_is_shown_and_not_applied(client: Client, address: str) -> None:
    before = rows()
    answer = client.post(address, {"text": LIST, "complete": "on", "step": "apply"})
    assert answer.status_code == 409
    assert "Look again, then apply it." in answer.text
    assert "Rook" in boxed(answer.text)
    assert rows() == before


def test_wrong_lines_are_named_and_the_list_stays_in_the_box(client: Client, address: str) -> None:
    before = rows()
    text = LIST + "Moss;;S9\nQuill;Ansa;S7\n"
    for step in ("read", "apply"):
        answer = client.post(address, {"text": text, "complete": "on", "step": step})
        assert answer.status_code == 422
        assert "2 things to fix" in answer.text
        assert "Line 4: A last name and a first name are wanted." in answer.text
        assert "Line 5: This is the student number of line 2." in answer.text
        assert "Quill;Ansa;S7" in boxed(answer.text)
    assert rows() == before


def test_nothing_sent_says_what_to_do(client: Client, address: str) -> None:
    answer = client.post(address, {"text": " \n", "complete": "on"})
    assert answer.status_code == 422
    assert "Paste a class list, or choose a file." in answer.text


def test_a_file_lands_in_the_box_where_it_can_be_mended(client: Client, address: str) -> None:
    upload = file(LIST.replace("Rook", "Röök").encode("cp1252"))
    answer = client.post(address, {"upload": upload, "complete": "on"})
    assert answer.status_code == 200
    assert "Röök;Cilla;S7" in boxed(answer.text)
    assert "was read as Windows-1252. Look at names with accents." in answer.text


def test_columns_that_are_not_read_are_named(client: Client, address: str) -> None:
    text = "last name,first name,e-mail\nRook,Cilla,c@rook.example\n"
    answer = client.post(address, {"text": text, "complete": "on"})
    assert "Not read from the list: e-mail." in answer.text


UNREADABLE = {
    "no text": (b"last,first\n\x81\x8d", "This is no text. Save the list as CSV"),
    "an empty file": (b"", "The submitted file is empty."),
    "a picture": (b"\xff\xd8\xff\xe0\x00\x10JFIF\x00", "Line 1: No header."),
    "a torn zip": (b"PK\x03\x04torn", "This is no zip that can be opened."),
    "a file too large": (bytes(8_000_001), "The file is larger than 8 MB."),
}


@pytest.mark.parametrize("kind", UNREADABLE)
def test_a_file_that_cannot_be_read_says_so(client: Client, address: str, kind: str) -> None:
    data, says = UNREADABLE[kind]
    before = rows()
    answer = client.post(address, {"upload": file(data), "complete": "on", "step": "apply"})
    assert answer.status_code == 422
    assert says in answer.text
    assert rows() == before


# --- more than a tenth leave


def test_many_leaving_are_counted_before_they_leave(
    client: Client, address: str, section: Section
) -> None:
    for _each in range(3):
        EnrolmentFactory.create(section=section)
    shown = client.post(address, {"text": LIST, "complete": "on"}).text
    assert "Leave the section (3)" in shown
    assert "How many students leave" in shown
    sent = {"text": LIST, "complete": "on", "step": "apply"}
    sent["fingerprint"] = hidden(shown, "fingerprint")
    for typed in ("", "2", "all"):
        answer = client.post(address, sent | {"leaving": typed})
        assert answer.status_code == 422
        assert "So many leave that their number is wanted." in answer.text
        assert f'value="{typed}"' in answer.text or not typed
    assert not Enrolment.objects.filter(left_at__isnull=False).exists()
    assert client.post(address, sent | {"leaving": " 3 "}).status_code == 302
    assert Enrolment.objects.filter(left_at__isnull=False).count() == 3


def test_a_list_of_some_makes_nobody_leave(client: Client, address: str, section: Section) -> None:
    EnrolmentFactory.create(section=section)
    assert "Leave the section" not in client.post(address, {"text": LIST}).text


def test_nothing_is_applied_in_a_closed_term(
    client: Client, address: str, section: Section
) -> None:
    section.term.closed_at = datetime(2026, 12, 1, tzinfo=UTC)
    section.term.save()
    answer = client.post(address, {"text": LIST, "complete": "on"})
    assert answer.status_code == 409
    assert "Fall 2026 is closed: nothing is handed in" in answer.text
    assert "Rook;Cilla" in boxed(answer.text)


# --- a OneRoster set


def test_of_a_set_with_several_classes_one_is_chosen(
    client: Client, address: str, section: Section
) -> None:
    shown = client.post(address, {"upload": file(sets.a_set(), "set.zip"), "complete": "on"})
    assert "Which class is this section?" in shown.text
    assert "taught by Hale, Odo" in shown.text
    chosen = shown.text.partition("<b>ALW 12 A</b>")[0]
    sent = {"class_id": "c1", "complete": "on", "text": hidden(chosen, "text")}
    assert "Quill,Ansa,N-u1,Ansa.Quill@school,u1" in sent["text"]
    read = client.post(address, sent)
    assert "New, with an account made for them (2)" in read.text
    sent |= {"step": "apply", "fingerprint": hidden(read.text, "fingerprint")}
    assert client.post(address, sent).status_code == 302
    section.refresh_from_db()
    assert section.source_id == "c1"
    assert User.objects.get(source_id="u2").username == "Bero.Tansy@school"
    again = client.post(address, {"upload": file(sets.a_set(), "set.zip"), "complete": "on"})
    assert "Nothing would change" in again.text
    assert "Taught by Hale, Odo." in again.text


def test_a_malformed_set_is_refused_with_file_line_and_reason(client: Client, address: str) -> None:
    before = rows()
    data = sets.changed("enrollments", 1, userSourcedId="u9")
    answer = client.post(address, {"upload": file(data, "set.zip"), "step": "apply"})
    assert answer.status_code == 422
    assert "enrollments.csv, line 3: userSourcedId: u9 is not in users.csv." in answer.text
    assert rows() == before
