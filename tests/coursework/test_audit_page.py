"""The audit page of the coordinator: every act of the school, the newest first."""

import re

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from coursework.audit import Entry, record_act, record_acts
from coursework.models import Act, School, User
from tests.factories import SchoolFactory

ADDRESS = "/office/audit/"
HOSTILE = "=cmd|' /C calc'!A0 <script>alert(1)</script> \u202e🧯" + "x" * 300


@pytest.fixture
def office(client: Client, coordinator: User) -> Client:
    client.force_login(coordinator)
    return client


def numbers(page: str) -> list[int]:
    """Return the numbers of the rows on a page, from top to bottom."""
    return [int(each) for each in re.findall(r"<span>row (\d+)</span>", page)]


def test_a_row_says_what_who_when_and_why(
    office: Client, school: School, coordinator: User, student: User
) -> None:
    record_act(
        coordinator,
        Act.STUDENT_MOVED,
        student,
        before={"section": "A"},
        after={"section": "B"},
        reason="Works days now.",
    )
    page = " ".join(office.get(ADDRESS).text.split())
    for words in ("Student moved", "Ansa Quill", "Runa Moss", "Works days now.", "A → B"):
        assert words in page


def test_they_come_in_one_order_over_all_pages(office: Client, school: School) -> None:
    record_acts(None, Act.EXPORTED, [Entry(about=school)] * 120)
    found = [office.get(ADDRESS, {"page": number}).text for number in (1, 2, 3)]
    assert [each for page in found for each in numbers(page)] == list(range(120, 0, -1))


def test_they_are_narrowed_by_act_and_by_person(
    office: Client, school: School, student: User, instructor: User
) -> None:
    record_act(instructor, Act.SIGN_IN_CODE_MADE, student)
    record_act(student, Act.PASSWORD_CHOSEN, student)
    record_act(instructor, Act.TERM_CLOSED, school)

    def shown(**asked: str) -> list[int]:
        return numbers(office.get(ADDRESS, asked).text)

    assert shown() == [3, 2, 1]
    assert shown(act="sign_in_code_made") == [1]
    assert shown(person="quill") == [2, 1]
    assert shown(person="Hale Odo") == [3, 1]
    assert shown(person="hale", act="term_closed") == [3]
    assert shown(person="nobody") == []


@pytest.mark.parametrize("asked", [{"act": "flew"}, {"person": "x" * 101}])
def test_what_cannot_be_asked_is_said(
    office: Client, school: School, asked: dict[str, str]
) -> None:
    answer = office.get(ADDRESS, asked)
    assert answer.status_code == 422
    assert "error" in answer.text


def test_rows_of_another_school_are_not_there(office: Client, school: School) -> None:
    record_act(None, Act.EXPORTED, SchoolFactory.create())
    assert numbers(office.get(ADDRESS).text) == []


def test_hostile_text_is_text(office: Client, school: School) -> None:
    record_act(None, Act.SETTINGS_CHANGED, school, after={HOSTILE: HOSTILE}, reason=HOSTILE)
    page = office.get(ADDRESS).text
    assert "<script>alert" not in page
    assert page.count("&lt;script&gt;alert(1)&lt;/script&gt;") == 3


def test_what_changed_is_said_in_words(office: Client, school: School) -> None:
    before = {"hold_grades": False, "teaching": ["odo", "pim"], "lead": "odo"}
    after = {"hold_grades": True, "teaching": [], "lead": None}
    record_act(None, Act.SETTINGS_CHANGED, school, before=before, after=after)
    page = office.get(ADDRESS).text
    for words in ("<dt>hold grades</dt>", "no → yes", "odo, pim → none", "odo → none"):
        assert words in page


def test_an_act_of_another_edition_is_shown_as_it_is_stored(office: Client, school: School) -> None:
    record_act(None, "polished", school)
    assert "<b>polished</b>" in office.get(ADDRESS).text


def test_more_rows_cost_no_more_queries(
    office: Client, school: School, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for _more in range(2):
        record_acts(None, Act.EXPORTED, [Entry(about=school)] * 60)
        # Session, person, time zone, count and rows.
        with django_assert_max_num_queries(5):
            assert office.get(ADDRESS).status_code == 200
