"""The page of an issued record: what was frozen, whatever happened since."""

import html
import re
from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from coursework import access, issuing
from coursework.models import Coupon, IssuedRecord, User
from tests.coursework.records import tampered

type ClientOf = Callable[[User], Client]


@pytest.fixture
def issued(graded_coupon: Coupon, instructor: User) -> IssuedRecord:
    return issue(graded_coupon, instructor, after=0)


def issue(coupon: Coupon, instructor: User, after: int) -> IssuedRecord:
    enrolment = access.enrolments(instructor).get(pk=coupon.enrolment_id)
    noon = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
    return issuing.issue(enrolment, instructor, noon, after_issue=after)


def page(client: Client, issued: IssuedRecord) -> str:
    response = client.get(reverse("coursework:issued_record", args=[issued.code]))
    assert response.status_code == 200
    return response.content.decode()


def test_the_student_and_the_staff_read_number_issue_and_fingerprint(
    issued: IssuedRecord, student: User, instructor: User, coordinator: User, client_of: ClientOf
) -> None:
    for user in (student, instructor, coordinator):
        text = page(client_of(user), issued)
        assert f"Term record {issued.code}, issue 1" in text
        assert issued.sha256 in text
        assert "not a welder qualification" in text
        for name in ("record_pdf", "record_csv"):
            assert reverse(f"coursework:{name}", args=[issued.code]) in text


def test_the_page_shows_the_master_and_not_the_tables(
    issued: IssuedRecord, student: User, instructor: User, client_of: ClientOf
) -> None:
    student.first_name = "Changed"
    student.save()
    text = page(client_of(instructor), issued)
    assert "Ansa Quill" in text
    assert "Changed" not in text


def test_an_older_issue_points_to_the_newest(
    issued: IssuedRecord, graded_coupon: Coupon, instructor: User, client_of: ClientOf
) -> None:
    newer = issue(graded_coupon, instructor, after=1)
    assert "There is a newer issue" in page(client_of(instructor), issued)
    assert "There is a newer issue" not in page(client_of(instructor), newer)


def test_a_master_that_was_tampered_with_is_not_to_be_relied_on(
    issued: IssuedRecord, instructor: User, client_of: ClientOf
) -> None:
    assert "no longer matches" not in page(client_of(instructor), issued)
    changed = issued.master.replace('"level":3', '"level":4')
    assert changed != issued.master
    tampered(issued, changed)
    assert "no longer matches" in page(client_of(instructor), issued)
    for name in ("record_pdf", "record_csv"):
        answer = client_of(instructor).get(reverse(f"coursework:{name}", args=[issued.code]))
        assert answer.status_code == 409
        assert "so no file is made of it" in answer.text


@pytest.mark.postgres
@pytest.mark.parametrize(
    "change",
    [
        {"master": "{}"},
        {"sha256": "0" * 64},
        {"code": "2222-2222"},
        {"issue": 7},
        {"issued_at": datetime(2026, 1, 1, tzinfo=UTC)},
    ],
    ids=lambda change: next(iter(change)),
)
def test_the_database_refuses_to_edit_an_issue(
    issued: IssuedRecord, change: dict[str, object]
) -> None:
    before = IssuedRecord.objects.values().get()
    with pytest.raises(IntegrityError), transaction.atomic():
        IssuedRecord.objects.filter(pk=issued.pk).update(**change)
    issued.master = "{}"
    with pytest.raises(IntegrityError), transaction.atomic():
        issued.save()
    assert IssuedRecord.objects.values().get() == before


def test_the_page_says_how_the_issue_stands(
    issued: IssuedRecord,
    graded_coupon: Coupon,
    student: User,
    instructor: User,
    client_of: ClientOf,
) -> None:
    client = client_of(student)
    assert "This is the current issue." in page(client, issued)
    newer = issue(graded_coupon, instructor, after=1)
    said = page(client, issued)
    assert "Superseded by issue 2 of Nov 20, 2026." in said
    assert "This is the current issue." not in said
    moment = datetime(2026, 11, 21, 18, 0, tzinfo=UTC)
    issuing.withdraw(newer, by=instructor, reason="Coupon 1 was another student's.", at=moment)
    said = html.unescape(page(client, newer))
    assert "Withdrawn on Nov 21, 2026 by Odo Hale. Coupon 1 was another student's." in " ".join(
        re.sub("<[^>]*>", " ", said).split()
    )
    assert "This is the current issue." not in said
    progress = client.get(reverse("coursework:progress")).text
    assert [word in progress for word in (issued.code, "superseded", "withdrawn")] == [True] * 3


def test_it_costs_few_queries(
    issued: IssuedRecord,
    instructor: User,
    client_of: ClientOf,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    client = client_of(instructor)
    with django_assert_max_num_queries(5):
        page(client, issued)


@pytest.mark.parametrize("name", ["issued_record", "record_pdf", "record_csv"])
def test_it_does_not_exist_for_others(
    issued: IssuedRecord,
    classmate: User,
    stranger: User,
    other_instructor: User,
    client_of: ClientOf,
    name: str,
) -> None:
    address = reverse(f"coursework:{name}", args=[issued.code])
    for user in (classmate, stranger, other_instructor):
        assert client_of(user).get(address).status_code == 404


@pytest.mark.parametrize("code", ["2222-2222", "x", "%00", "🔥"])
def test_a_wrong_code_leads_nowhere(instructor: User, client_of: ClientOf, code: str) -> None:
    address = reverse("coursework:issued_record", args=[code])
    assert client_of(instructor).get(address).status_code == 404
