"""Exercises: written in both unit systems, proposed by the guide, replaced under coupons."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Page, expect

from coursework import exercises
from coursework.forms.exercise_windows import FIGURES, WindowRows, propose, shown
from coursework.models import Coupon, CoursePlan, Exercise, SchoolSettings, User
from tests.factories import MOMENT, RubricFactory

pytestmark = pytest.mark.django_db

WINDOW = {figure.value: place for place, figure in enumerate(FIGURES)}


@pytest.fixture
def client(client_of: Callable[[User], Client], instructor: User) -> Client:
    """An instructor's browser."""
    return client_of(instructor)


def address(exercise: Exercise) -> str:
    return reverse("coursework:exercise_edit", args=[exercise.pk])


def opened(client: Client, url: str) -> dict[str, str]:
    """Return what a browser would send back of a page that it was shown."""
    context = client.get(url).context
    data = {"based_on": context["based_on"], "store": "1"}
    for form in (context["form"], context["windows"].management_form, *context["windows"]):
        for field in form:
            value = field.value()
            if hasattr(value, "unit"):
                data |= {field.html_name: value.text, f"{field.html_name}_unit": value.unit}
            elif value is not None:
                data[field.html_name] = str(field.field.prepare_value(value))
    return data


def window(figure: str, low: str, high: str, unit: str) -> dict[str, str]:
    row = f"window-{WINDOW[figure]}"
    return {f"{row}-low": low, f"{row}-high": high, f"{row}-unit": unit}


def stored(exercise: Exercise) -> tuple[Any, ...]:
    """Return every column of an exercise and of its windows."""
    columns = Exercise.objects.values().get(pk=exercise.pk)
    return columns, list(exercise.windows.order_by("figure").values_list("figure", "low", "high"))


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_storing_what_was_shown_changes_nothing(
    client: Client, exercise: Exercise, coupon: Coupon, units: str
) -> None:
    SchoolSettings.objects.update(units=units)
    before = stored(exercise)
    assert client.post(address(exercise), opened(client, address(exercise))).status_code == 302
    assert stored(exercise) == before
    assert Exercise.objects.count() == 1


def test_without_coupons_an_exercise_is_changed_in_place(
    client: Client, exercise: Exercise
) -> None:
    data = opened(client, address(exercise)) | {"thickness_mm": "0,25", "thickness_mm_unit": "in"}
    data |= window("current_a", "180", "220", "A") | {"filler": "none", "title": "Thick tee"}
    data |= window("travel_speed_mm_s", "6", "12", "in/min")
    data |= window("gas_flow_l_min", "15", "25", "CFH")
    assert client.post(address(exercise), data).status_code == 302
    exercise.refresh_from_db()
    windows = {each.figure: (each.low, each.high) for each in exercise.windows.all()}
    assert (exercise.title, exercise.filler) == ("Thick tee", "")
    assert exercise.thickness_mm == pytest.approx(6.35)  # The inch is 25.4 mm by definition.
    assert windows["travel_speed_mm_s"] == pytest.approx((2.54, 5.08))
    # 1 ft3/h is 0.4719474432 L/min (heat-and-process notes, values).
    assert windows["gas_flow_l_min"] == pytest.approx((15 * 0.4719474432, 25 * 0.4719474432))
    assert windows["current_a"] == (180, 220)


def test_under_coupons_a_new_exercise_takes_its_place(
    client: Client, exercise: Exercise, coupon: Coupon
) -> None:
    columns, windows = stored(exercise)
    page = client.get(address(exercise)).content.decode()
    assert "a change makes a new exercise in its place" in page
    data = opened(client, address(exercise)) | {"thickness_mm": "4.8"}
    client.post(address(exercise), data)
    new = Exercise.objects.get(retired_at=None)
    exercise.refresh_from_db()
    coupon.refresh_from_db()
    assert (new.place, new.thickness_mm) == (exercise.place, 4.8)
    assert stored(exercise) == (columns | {"retired_at": exercise.retired_at}, windows)
    assert exercise.retired_at is not None
    assert coupon.exercise == exercise
    assert new.windows.count() == len(windows)


def test_under_coupons_the_week_alone_is_changed_in_place(
    client: Client, exercise: Exercise, coupon: Coupon
) -> None:
    data = opened(client, address(exercise)) | {"due_week": "7"}
    client.post(address(exercise), data)
    assert Exercise.objects.get().due_week == 7


@pytest.mark.parametrize("name", [n for n in exercises.COLUMNS if n not in exercises.IN_PLACE])
def test_whatever_else_differs_makes_a_new_exercise(
    exercise: Exercise, coupon: Coupon, name: str
) -> None:
    other = {
        "title": "Other",
        "process": "GMAW",
        "joint": "lap",
        "weld": "v_groove",
        "position": "PF",
        "alloy": "6061",
        "temper": "T6",
        "thickness_mm": 6.4,
        "filler": "4043",
        "nominal_leg_mm": None,
        "good_coupons_wanted": 9,
        "in_a_row_wanted": 2,
        "check_test": "bend",
        "acceptance_set": "iso10042_c",
        "rubric_id": RubricFactory.create(school=exercise.plan.school).pk,
    }
    asked = exercises.asked_of(exercise)
    changed = exercises.Asked({**asked.columns, name: other[name]}, asked.windows)
    based_on = exercises.fingerprint(exercise)
    assert (
        exercises.change(exercise, changed, based_on=based_on, by=None, at=MOMENT).pk != exercise.pk
    )


def test_the_loser_of_a_race_gets_409_and_keeps_what_was_typed(
    client: Client, exercise: Exercise, coupon: Coupon
) -> None:
    data = opened(client, address(exercise))
    client.post(address(exercise), data | {"title": "First"})
    answer = client.post(address(exercise), data | {"title": "Second"})
    assert answer.status_code == 409
    assert 'value="Second"' in answer.content.decode()
    assert Exercise.objects.get(retired_at=None).title == "First"
    assert "was retired" in client.get(address(exercise)).content.decode()


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"thickness_mm": "thick"}, "is not a number"),
        ({"thickness_mm": "0"}, "This cannot be zero"),
        ({"thickness_mm": ""}, "Type a value here."),
        ({"good_coupons_wanted": "0"}, "Type a whole number of 1 or more"),
        ({"good_coupons_wanted": "999"}, "Type 60 or less."),
        ({"good_coupons_wanted": "2", "in_a_row_wanted": "3"}, "Not more in a row than are wanted"),
        ({"process": "SMAW"}, "Choose one of the list."),
        ({"weld": "v_groove"}, "Only a fillet has legs"),
        ({"joint": "bead_on_plate"}, "A bead is welded on plate"),
        ({"rubric": "999999"}, "Select a valid choice."),
        (window("current_a", "160", "", "A"), "Type both ends, or neither."),
        (window("current_a", "160", "120", "A"), "lies above its beginning"),
        (window("current_a", "1,2.3", "120", "A"), "has both marks"),
        (window("gas_flow_l_min", "1", "2", "gal"), "Select a valid choice"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_was_typed(
    client: Client, exercise: Exercise, changes: dict[str, str], sentence: str
) -> None:
    before = stored(exercise)
    data = opened(client, address(exercise)) | {"title": "Typed by hand"} | changes
    answer = client.post(address(exercise), data)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert 'value="Typed by hand"' in answer.content.decode()
    assert stored(exercise) == before


def test_the_guide_proposes_windows_and_stores_nothing(client: Client, plan: CoursePlan) -> None:
    """GTAW fillet in 3.2 mm: 125 to 160 A (heat-S19 to heat-S22, of one old table)."""
    url = reverse("coursework:exercise_new", args=[plan.pk])
    data = opened(client, url) | {"propose": "1", "process": "GTAW", "weld": "fillet"}
    data |= {"thickness_mm": "3.2", "thickness_mm_unit": "mm", "title": "Half"}
    data |= window("heat_input_kj_mm", "5", "9", "kJ/in")
    answer = client.post(url, data)
    page = answer.content.decode()
    rows = {each.figure.value: each for each in answer.context["windows"]}
    assert answer.status_code == 200
    assert (rows["current_a"]["low"].value(), rows["current_a"]["high"].value()) == ("125", "160")
    assert rows["heat_input_kj_mm"]["low"].value() == "5"
    assert 'value="Half"' in page
    assert "Error:" not in page
    assert not Exercise.objects.exists()


def test_a_proposal_wants_process_weld_and_thickness(client: Client, plan: CoursePlan) -> None:
    url = reverse("coursework:exercise_new", args=[plan.pk])
    assert client.post(url, opened(client, url) | {"propose": "1"}).status_code == 422
    data = opened(client, url) | {"propose": "1", "process": "GTAW", "weld": "fillet"}
    answer = client.post(url, data | {"thickness_mm": "80", "thickness_mm_unit": "mm"})
    assert "prints no range" in answer.content.decode()


@given(
    st.sampled_from(FIGURES),
    st.floats(0.01, 400),
    st.floats(1.01, 20),
    st.booleans(),
)
def test_a_window_shown_and_sent_back_is_the_same(
    figure: Any, low: float, times: float, metric: bool
) -> None:
    high = low * times
    rows = shown({figure.value: (low, high)}, metric=metric)
    data = {"window-TOTAL_FORMS": str(len(FIGURES)), "window-INITIAL_FORMS": "0"}
    for place, row in enumerate(rows):
        data |= {f"window-{place}-{name}": text for name, text in row.items()}
    sent = WindowRows(data, prefix="window", stored={figure.value: (low, high)})
    assert sent.is_valid(), sent.errors
    found = sent.windows()[figure.value]
    assert found == (low, high)


def test_what_the_guide_proposes_is_a_window() -> None:
    for each in propose("GMAW", "fillet", 6.0):
        assert 0 <= each.said.low < each.said.high
    assert propose("GMAW", "bead", 900.0) == []


@pytest.mark.django_db(transaction=True)
def test_windows_are_proposed_without_script(
    open_page: Any, sign_in: Callable[[Page, object], None], instructor: User, exercise: Exercise
) -> None:
    page = open_page(viewport={"width": 320, "height": 640}, java_script_enabled=False)
    sign_in(page, instructor)
    page.goto(address(exercise))
    page.get_by_label("Current, from").fill("")
    page.get_by_role("button", name="Propose windows").last.click()
    expect(page.get_by_label("Current, from")).to_have_value("125")
    page.get_by_role("button", name="Save the exercise").click()
    assert page.get_by_role("status").first.inner_text() == "1 Tee is changed."
