"""Limits from memory: a lead instructor confirms a row, and only then does it judge."""

from typing import Any

import pytest
from django.test import Client

from coursework.assess import school_rules
from coursework.limit_confirming import BY_ID, FROM_MEMORY, can_be_confirmed
from coursework.models import ConfirmedLimit, Enrolment, School, SchoolSettings, User
from weldlog.engine.limit_sets import CONFIRMABLE

pytestmark = pytest.mark.django_db

SURE = "iso10042-c-Q11"
UNSURE = next(each.id for each in BY_ID.values() if each.confidence == "L")


@pytest.fixture
def lead(client: Client, instructor: User) -> Client:
    Enrolment.objects.filter(user=instructor).update(lead=True)
    client.force_login(instructor)
    return client


def confirmed(school: School) -> list[str]:
    return list(ConfirmedLimit.objects.filter(school=school).values_list("limit", flat=True))


def test_the_page_holds_every_limit_that_can_be_confirmed() -> None:
    assert set(BY_ID) == CONFIRMABLE


def test_a_confirmed_row_says_who_and_when_and_reaches_the_engine(
    lead: Client, instructor: User, school: School
) -> None:
    answer = lead.post(f"/office/limits/{SURE}/", follow=True)
    assert confirmed(school) == [SURE]
    assert f"Confirmed by {instructor}" in answer.text
    assert "“manage.py recheck” assesses them again" in answer.text
    rules = school_rules(SchoolSettings.objects.get(school=school))
    assert BY_ID[SURE].speaks(rules.confirmed)


def test_twice_is_once_and_the_first_word_stays(
    lead: Client, instructor: User, school: School
) -> None:
    lead.post(f"/office/limits/{SURE}/")
    before = ConfirmedLimit.objects.values().get()
    lead.post(f"/office/limits/{SURE}/")
    assert ConfirmedLimit.objects.values().get() == before


def test_taken_back_it_is_silent(lead: Client, school: School) -> None:
    lead.post(f"/office/limits/{SURE}/")
    lead.post(f"/office/limits/{SURE}/", {"take_back": "1"})
    assert confirmed(school) == []


def test_an_unsure_row_has_no_button_and_is_refused(lead: Client, school: School) -> None:
    name = BY_ID[UNSURE].set
    page = lead.get(f"/office/limits/?set={name}").text
    assert f'action="/office/limits/{UNSURE}/"' not in page
    assert "look it up" in page
    answer = lead.post(f"/office/limits/{UNSURE}/", follow=True)
    assert "there is nothing to confirm" in answer.text
    assert confirmed(school) == []


@pytest.mark.parametrize("name", FROM_MEMORY)
def test_every_set_says_that_it_is_from_memory(lead: Client, name: str) -> None:
    page = lead.get(f"/office/limits/?set={name}").text
    assert "From memory: check your copy." in page
    for limit in FROM_MEMORY[name]:
        has_button = f'action="/office/limits/{limit.id}/"' in page
        assert has_button is can_be_confirmed(limit), limit.id


def test_who_does_not_lead_reads_only(
    client: Client, instructor: User, coordinator: User, school: School
) -> None:
    for user in (instructor, coordinator):
        client.force_login(user)
        page = client.get("/office/limits/").text
        assert "<button" not in page.partition('id="rows"')[2].partition("</section>")[0]
        assert client.post(f"/office/limits/{SURE}/").status_code == 403
    assert confirmed(school) == []


def test_who_led_once_does_so_no_more(
    lead: Client, instructor: User, school: School, coupon: Any
) -> None:
    Enrolment.objects.filter(user=instructor).update(left_at=coupon.handed_in_at)
    assert lead.post(f"/office/limits/{SURE}/").status_code == 403


def test_a_limit_that_is_not_there_is_not_found(lead: Client) -> None:
    assert lead.post("/office/limits/iso10042-z-Q99/").status_code == 404


def test_the_page_costs_the_same_however_many_are_confirmed(
    lead: Client, django_assert_max_num_queries: Any
) -> None:
    for limit in FROM_MEMORY["iso10042_c"]:
        lead.post(f"/office/limits/{limit.id}/", follow=True)
    with django_assert_max_num_queries(7):
        assert lead.get("/office/limits/?set=iso10042_c").status_code == 200
