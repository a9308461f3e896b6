"""Checking a print without an account: genuine, current, superseded, withdrawn, or not known."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from coursework import access, issuing, section_issuing
from coursework.joining import TRIES_A_PERSON
from coursework.models import Coupon, IssuedRecord, IssuedSectionRecord, User
from coursework.record_checking import check_path
from tests.coursework.records import tampered

NOON = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
NOT_KNOWN = "No record that was issued here goes by this number and fingerprint together."

type ClientOf = Callable[[User], Client]


@pytest.fixture(autouse=True)
def no_tries_yet() -> None:
    cache.clear()


@pytest.fixture
def issued(graded_coupon: Coupon, instructor: User) -> IssuedRecord:
    enrolment = access.enrolments(instructor).get(pk=graded_coupon.enrolment_id)
    return issuing.issue(enrolment, instructor, NOON, after_issue=0)


@pytest.fixture
def of_section(issued: IssuedRecord, instructor: User) -> IssuedSectionRecord:
    students = list(access.enrolments(instructor))
    section = students[0].section
    return section_issuing.issue(section, students, instructor, NOON, after_issue=0)


def check(client: Client, code: str, fingerprint: str) -> tuple[int, str]:
    answer = client.get(
        reverse("coursework:record_check"), {"code": code, "fingerprint": fingerprint}
    )
    return answer.status_code, " ".join(answer.text.split())


def test_what_the_print_carries_leads_to_the_answer(client: Client, issued: IssuedRecord) -> None:
    address = check_path(issued)
    assert address == f"/check/{issued.code}/{issued.sha256[:16]}/"
    answer = client.get(address)
    assert answer.status_code == 200
    assert "Genuine, and current" in answer.text
    assert "Nov 20, 2026" in answer.text


@pytest.mark.parametrize(
    "spelling",
    [
        lambda record: (record.code, record.sha256),
        lambda record: (record.code.replace("-", "").lower(), record.sha256[:8].upper()),
        lambda record: (
            f" {record.code} ",
            " ".join(record.sha256[:16][n : n + 4] for n in (0, 4)),
        ),
    ],
)
def test_however_it_is_typed(
    client: Client, issued: IssuedRecord, spelling: Callable[[IssuedRecord], tuple[str, str]]
) -> None:
    status, text = check(client, *spelling(issued))
    assert (status, "Genuine, and current" in text) == (200, True)


def test_no_name_and_no_result_stands_on_the_page(
    client: Client, issued: IssuedRecord, of_section: IssuedSectionRecord, student: User
) -> None:
    for record in (issued, of_section):
        _status, text = check(client, record.code, record.sha256)
        assert "Tern Harbor Technical Institute" in text
        for word in ("Ansa", "Quill", student.student_number, "Odo", "Hale", "ALW 12", "Tee"):
            assert word not in text
        assert "not a welder qualification" in text


def test_an_older_issue_names_the_day_of_the_newer_one(
    client: Client, issued: IssuedRecord, instructor: User
) -> None:
    enrolment = access.enrolments(instructor).get(pk=issued.enrolment_id)
    later = NOON + timedelta(days=3)
    newer = issuing.issue(enrolment, instructor, later, after_issue=1)
    text = check(client, issued.code, issued.sha256)[1]
    assert "Genuine, but superseded" in text
    assert "A newer issue, number 2 of Nov 23, 2026, has taken its place." in text
    assert newer.code not in text
    assert "Genuine, and current" in check(client, newer.code, newer.sha256)[1]


def test_a_withdrawn_issue_says_so_and_keeps_its_reason_in_the_house(
    client: Client, issued: IssuedRecord, instructor: User
) -> None:
    issuing.withdraw(issued, by=instructor, reason="Ansa cheated.", at=NOON + timedelta(days=1))
    text = check(client, issued.code, issued.sha256)[1]
    assert "The school withdrew this issue on Nov 21, 2026." in text
    assert "Genuine" not in text
    assert "cheated" not in text


def test_a_changed_master_is_said_as_such(
    client: Client, issued: IssuedRecord, of_section: IssuedSectionRecord
) -> None:
    for record in (issued, of_section):
        tampered(record, record.master.replace('"state":', '"state" :', 1))
        text = check(client, record.code, record.sha256)[1]
        assert "Do not rely on it" in text
        assert "no longer matches its fingerprint" in text
        assert "Genuine" not in text


def test_an_unknown_code_and_a_wrong_fingerprint_get_the_same_answer(
    client: Client, issued: IssuedRecord
) -> None:
    wrong = f"{int(issued.sha256[:8], 16) ^ 1:08x}"
    pairs = [("2222-2222", issued.sha256), (issued.code, wrong), (issued.code, wrong + "0" * 56)]
    said = set()
    for code, fingerprint in pairs:
        status, text = check(client, code, fingerprint)
        assert status == 404
        assert NOT_KNOWN in text
        # What was typed stands in the form again.
        main = text[text.index("<main") : text.index("</main>")]
        said.add(main.replace(code, "").replace(fingerprint, ""))
    assert len(said) == 1


@pytest.mark.parametrize(
    ("code", "fingerprint"),
    [
        ("", ""),
        ("2222-2222", "abc"),
        ("2222-2222", "not a fingerprint"),
        ("2222-2222", "٣" * 8),
        ("🔥", "%00" * 4),
        ("\x00", "0" * 8),
    ],
)
def test_what_cannot_be_a_pair_is_handed_back_with_what_was_typed(
    client: Client, code: str, fingerprint: str
) -> None:
    status, text = check(client, code, fingerprint)
    assert status in {404, 422}
    assert "Genuine" not in text


def test_the_eleventh_wrong_pair_of_a_person_is_not_looked_up(
    issued: IssuedRecord, stranger: User, client_of: ClientOf
) -> None:
    client = client_of(stranger)
    for _time in range(TRIES_A_PERSON):
        check(client, "2222-2222", "0" * 8)
    status, text = check(client, issued.code, issued.sha256)
    assert status == 429
    assert "Wait an hour" in text
    assert "Genuine" not in text


def test_nobody_finds_or_keeps_the_answer(client: Client, issued: IssuedRecord) -> None:
    for address in (reverse("coursework:record_check"), check_path(issued)):
        headers = client.get(address).headers
        assert "noindex" in headers["X-Robots-Tag"]
        assert "no-store" in headers["Cache-Control"]
        assert headers["Referrer-Policy"] == "no-referrer"


def test_only_looking_is_possible(client: Client, issued: IssuedRecord) -> None:
    assert client.post(check_path(issued)).status_code == 405
