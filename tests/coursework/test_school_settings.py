"""What a school sets comes back as it was typed, and reaches the engine's rules."""

from typing import Any

import pytest
from django.test import Client

from coursework.assess import school_rules
from coursework.forms.school_settings import FIELDS
from coursework.models import School, SchoolSettings, User

pytestmark = pytest.mark.django_db

TYPED = {
    "units": "metric",
    "time_zone": "America/Denver",
    "cleaning_window_h": "2,5",
    "cleaning_redo_h": "6",
    "dcen_with_helium": "on",
    "hold_grades": "on",
    "second_grading_percent": "25",
}
RECHECK = "Coupons already assessed keep their findings; “manage.py recheck” assesses them again."


@pytest.fixture
def office(client: Client, coordinator: User) -> Client:
    client.force_login(coordinator)
    return client


def send(office: Client, **changes: str) -> Any:
    return office.post("/office/settings/", TYPED | changes, follow=True)


def stored(school: School) -> SchoolSettings:
    return SchoolSettings.objects.get(school=school)


def test_every_setting_is_stored_and_shown_again(office: Client, school: School) -> None:
    page = send(office)
    found = {name: getattr(stored(school), name) for name in FIELDS}
    assert found == {
        "units": "metric",
        "time_zone": "America/Denver",
        "cleaning_window_h": 2.5,
        "cleaning_redo_h": 6.0,
        "dcen_with_helium": True,
        "hold_grades": True,
        "second_grading_percent": 25,
    }
    shown = {name: page.context["form"][name].value() for name in FIELDS}
    assert {name: str(value) for name, value in shown.items()} == {
        name: "2.5" if name == "cleaning_window_h" else str(value) for name, value in found.items()
    } | {"cleaning_redo_h": "6"}


def test_sending_what_is_shown_changes_nothing(office: Client, school: School) -> None:
    send(office)
    before = SchoolSettings.objects.values().get(school=school)
    form = office.get("/office/settings/").context["form"]
    shown = {name: form[name].value() for name in FIELDS}
    answer = office.post(
        "/office/settings/", {name: value for name, value in shown.items() if value}, follow=True
    )
    assert SchoolSettings.objects.values().get(school=school) == before
    assert "The settings are saved." in answer.text


def test_the_engine_reviews_by_them(office: Client, school: School) -> None:
    send(office)
    rules = school_rules(stored(school))
    assert (rules.cleaning_window_h, rules.cleaning_redo_h, rules.dcen_with_helium) == (
        2.5,
        6,
        True,
    )


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"cleaning_window_h": "3"}, True),
        ({"cleaning_redo_h": "7"}, True),
        ({"dcen_with_helium": ""}, True),
        ({"units": "shop"}, False),
        ({"second_grading_percent": "0"}, False),
    ],
)
def test_a_change_of_reviews_says_what_becomes_of_old_coupons(
    office: Client, changes: dict[str, str], said: bool
) -> None:
    send(office)
    page = send(office, **changes)
    (message,) = page.context["messages"]
    assert (RECHECK in str(message)) is said


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"cleaning_redo_h": "2"}, "This is the longer of the two times"),
        ({"cleaning_window_h": "0"}, "Type a number above zero"),
        ({"cleaning_window_h": "four"}, "is not a number"),
        ({"time_zone": "Mars/Olympus"}, "Choose a time zone of the list."),
        ({"second_grading_percent": "101"}, "A share is 100 percent at most."),
        ({"units": "cubits"}, "Select a valid choice."),
    ],
)
def test_what_cannot_be_is_said_and_nothing_typed_is_lost(
    office: Client, school: School, changes: dict[str, str], sentence: str
) -> None:
    before = SchoolSettings.objects.values().get(school=school)
    answer = office.post("/office/settings/", TYPED | {"cleaning_redo_h": "5.75"} | changes)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert f'value="{changes.get("cleaning_redo_h", "5.75")}"' in answer.text
    assert SchoolSettings.objects.values().get(school=school) == before
