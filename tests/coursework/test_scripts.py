"""What the small scripts add to the log page on a phone; without them the same fields are typed.

One inch is 25.4 mm exactly: International yard and pound agreement, 1959.
"""

import re
from collections.abc import Callable

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from coursework.models import Exercise, User


@pytest.fixture
def log_page(
    phone: Page, student: User, exercise: Exercise, sign_in: Callable[[Page, object], None]
) -> Page:
    """The log page of a student, on a phone."""
    sign_in(phone, student)
    phone.goto(reverse("coursework:coupon_log", args=[exercise.pk]))
    return phone


def test_taps_keep_the_order_of_cleaning_and_undo_takes_back_the_last(log_page: Page) -> None:
    brushed, wiped = (
        log_page.locator("[data-step-row]").filter(has_text=words).first
        for words in ("Took the oxide off", "Wiped with the degreaser")
    )
    for row in (brushed, wiped, brushed):
        row.locator(".step-tap").click()
    assert [row.locator("[name$=place]").input_value() for row in (brushed, wiped)] == ["1", "2"]
    assert re.fullmatch(r"\d\d:\d\d", wiped.locator("[name$=at]").input_value())
    log_page.get_by_role("button", name=re.compile("^Undo Wiped with the degreaser")).click()
    assert [row.locator("[name$=place]").input_value() for row in (brushed, wiped)] == ["1", ""]
    expect(wiped.locator(".step-tap")).to_be_focused()


def test_keys_step_a_value_by_name_and_say_it(log_page: Page) -> None:
    current = log_page.get_by_role("textbox", name="Current").first
    current.fill("140")
    log_page.get_by_role("button", name="Current up 5").click()
    assert current.input_value() == "145"
    expect(log_page.locator("[data-announce]")).to_have_text("145")


def test_a_value_the_page_brought_is_converted_and_comes_back_as_it_was(log_page: Page) -> None:
    thickness = log_page.get_by_role("textbox", name="Thickness").first
    units = log_page.get_by_role("radiogroup", name="Thickness unit").first
    assert thickness.input_value() == "3.2"
    units.get_by_text("in").click()
    assert thickness.input_value() == "0.126"  # 3.2 / 25.4
    units.get_by_text("mm").click()
    assert thickness.input_value() == "3.2"


def test_a_value_typed_here_stays_as_typed_when_its_unit_is_put_right(log_page: Page) -> None:
    thickness = log_page.get_by_role("textbox", name="Thickness").first
    thickness.press("End")
    thickness.press_sequentially("5")
    log_page.get_by_role("radiogroup", name="Thickness unit").first.get_by_text("in").click()
    assert thickness.input_value() == "3.25"


def test_the_stopwatch_outlives_a_reload(log_page: Page) -> None:
    log_page.get_by_role("button", name="Start").click()
    log_page.wait_for_timeout(300)
    log_page.reload()
    log_page.get_by_role("button", name="Stop").click()
    seconds = float(log_page.get_by_role("textbox", name="Arc time").input_value())
    assert seconds >= 0.3


def test_an_error_on_top_leads_to_its_field(log_page: Page) -> None:
    log_page.get_by_role("textbox", name="Current").first.fill("14..5")
    log_page.get_by_role("button", name="Hand in").click()
    expect(log_page.locator("[data-error-summary]")).to_be_focused()
    assert log_page.title().startswith("Error: ")
    log_page.locator("[data-error-summary]").get_by_role("link", name="Current").click()
    current = log_page.get_by_role("textbox", name="Current").first
    expect(current).to_be_focused()
    assert current.input_value() == "14..5"
