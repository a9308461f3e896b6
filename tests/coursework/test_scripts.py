"""What the small scripts add to the log page on a phone; without them the same fields are typed.

One inch is 25.4 mm exactly: International yard and pound agreement, 1959.
"""

import re
from collections.abc import Callable

import pytest
from django.urls import reverse
from playwright.sync_api import Locator, Page, expect

from coursework.models import Coupon, Exercise, User


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
    counted = log_page.locator("[data-sequence-sum] [role=status]")
    brushed.locator(".step-tap").click()
    expect(counted).to_have_text("1 step")
    for row in (wiped, brushed):
        row.locator(".step-tap").click()
    expect(counted).to_have_text("2 steps")
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


@pytest.mark.parametrize(
    ("typed", "key", "stepped"),
    [
        ("132,5", "Current up 5", "137,5"),
        ("132.25", "Current down 5", "127.25"),
        ("", "Current up 5", "5"),
        ("about 130", "Current up 5", "about 130"),
    ],
)
def test_keys_keep_the_decimals_and_the_mark_that_were_typed(
    log_page: Page, typed: str, key: str, stepped: str
) -> None:
    current = log_page.get_by_role("textbox", name="Current").first
    current.fill(typed)
    log_page.get_by_role("button", name=key).click()
    assert current.input_value() == stepped


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


def test_the_stopwatch_says_when_the_arc_was_started_unless_that_is_typed(log_page: Page) -> None:
    started_at = log_page.get_by_role("textbox", name="Arc started at")
    log_page.get_by_role("button", name="Start").click()
    assert re.fullmatch(r"\d\d:\d\d", started_at.input_value())
    log_page.get_by_role("button", name="Stop").click()
    started_at.fill("7:05")
    log_page.get_by_role("button", name="Start again").click()
    assert started_at.input_value() == "7:05"


def test_enter_leads_to_the_next_field_and_does_not_hand_in(log_page: Page) -> None:
    log_page.get_by_role("textbox", name="Current").first.press("Enter")
    expect(log_page.get_by_role("textbox", name="Arc volts").first).to_be_focused()
    assert not log_page.locator("[data-error-summary]").count()


def test_an_error_on_top_leads_to_its_field(log_page: Page) -> None:
    log_page.get_by_role("textbox", name="Current").first.fill("14..5")
    log_page.get_by_role("button", name="Hand in").click()
    expect(log_page.locator("[data-error-summary]")).to_be_focused()
    assert log_page.title().startswith("Error: ")
    log_page.locator("[data-error-summary]").get_by_role("link", name="Current").click()
    current = log_page.get_by_role("textbox", name="Current").first
    expect(current).to_be_focused()
    assert current.input_value() == "14..5"


class TestDraft:
    """What is typed is kept in the tab until it is handed in, given up or signed out of."""

    KEPT = "Object.keys(sessionStorage).filter((key) => key.startsWith('draft '))"

    def fill(self, page: Page) -> None:
        page.get_by_role("textbox", name="Current").first.fill("132,5")
        page.get_by_role("radiogroup", name="Weld length unit").get_by_text("mm").click()
        page.get_by_label("Filler", exact=True).select_option("5356")
        page.get_by_label("Nothing to see").check()
        page.locator(".step-tap").filter(has_text="Let it dry").click()
        page.get_by_label("Something odd").fill("the wind")
        expect(self.line(page)).to_contain_text(re.compile(r"Kept on this phone at \d\d:\d\d\."))

    def line(self, page: Page) -> Locator:
        return page.locator("[data-draft-line]")

    def test_it_is_there_again_after_a_reload(self, log_page: Page) -> None:
        self.fill(log_page)
        client_id = log_page.locator("[name=client_id]").input_value()
        log_page.reload()
        expect(self.line(log_page)).to_contain_text("Kept on this phone at")
        assert log_page.get_by_role("textbox", name="Current").first.input_value() == "132,5"
        assert log_page.locator("[name=weld_length_mm_unit][value=mm]").is_checked()
        assert log_page.get_by_label("Filler", exact=True).input_value() == "5356"
        assert log_page.get_by_label("Nothing to see").is_checked()
        dried = log_page.locator(".step-tap").filter(has_text="Let it dry")
        assert dried.get_attribute("aria-pressed") == "true"
        assert log_page.get_by_label("Something odd").input_value() == "the wind"
        assert log_page.locator("[name=client_id]").input_value() != client_id
        assert "csrfmiddlewaretoken" not in str(log_page.evaluate("Object.values(sessionStorage)"))

    def test_it_is_there_again_after_back_in_the_half_second_before_it_is_kept(
        self, log_page: Page
    ) -> None:
        log_page.get_by_role("textbox", name="Current").first.fill("141")
        log_page.goto(reverse("coursework:help"))
        log_page.go_back()
        assert log_page.get_by_role("textbox", name="Current").first.input_value() == "141"

    def test_a_number_typed_before_the_reload_is_not_converted_after_it(
        self, log_page: Page
    ) -> None:
        thickness = log_page.get_by_role("textbox", name="Thickness").first
        thickness.press("End")
        thickness.press_sequentially("5")
        log_page.reload()
        log_page.get_by_role("radiogroup", name="Thickness unit").first.get_by_text("in").click()
        assert thickness.input_value() == "3.25"

    def test_the_stopped_time_is_shown_again(self, log_page: Page) -> None:
        log_page.get_by_role("button", name="Start").click()
        log_page.get_by_role("button", name="Stop").click()
        shown = log_page.locator(".clock output").inner_text()
        log_page.reload()
        expect(log_page.locator(".clock output")).to_have_text(shown)
        expect(log_page.get_by_role("button", name="Start again")).to_be_visible()

    def test_it_is_given_up_by_discard(self, log_page: Page) -> None:
        self.fill(log_page)
        self.line(log_page).get_by_role("button", name="Discard").click()
        expect(self.line(log_page)).to_contain_text("until you hand it in")
        assert log_page.get_by_role("textbox", name="Current").first.input_value() == ""

    def test_errors_keep_what_was_sent_and_the_hand_in_ends_it(self, log_page: Page) -> None:
        self.fill(log_page)
        log_page.get_by_role("textbox", name="Current").first.fill("14..5")
        log_page.get_by_role("button", name="Hand in").click()
        current = log_page.get_by_role("textbox", name="Current").first
        expect(log_page.locator("[data-error-summary]")).to_be_focused()
        assert current.input_value() == "14..5"
        assert len(log_page.evaluate(self.KEPT)) == 1
        current.fill("145")
        log_page.get_by_role("button", name="Hand in").click()
        expect(log_page.get_by_role("heading", level=1)).to_have_text("Coupon 1")
        assert log_page.evaluate(self.KEPT) == []

    def test_the_page_of_another_coupon_leaves_a_draft_alone(
        self, log_page: Page, coupon: Coupon
    ) -> None:
        self.fill(log_page)
        log_page.goto(reverse("coursework:coupon", args=[coupon.public_id]))
        assert len(log_page.evaluate(self.KEPT)) == 1

    def test_signing_out_clears_it(self, log_page: Page) -> None:
        self.fill(log_page)
        log_page.get_by_role("button", name="Sign out").click()
        expect(log_page).to_have_url(re.compile(reverse("coursework:sign_in")))
        assert log_page.evaluate(self.KEPT) == []


def test_the_phone_shows_what_is_wanted_first_and_the_flags_before_the_hand_in(
    log_page: Page,
) -> None:
    def top_px(part: Locator) -> float:
        box = part.bounding_box()
        assert box is not None
        return box["y"]

    log_page.get_by_label("Polarity").select_option("DCEN")
    log_page.get_by_label("Gas", exact=True).select_option("argon")
    stop = log_page.locator("#live .finding.stop").first
    expect(stop).to_be_visible()
    parts = [
        log_page.get_by_role("heading", name="What is wanted"),
        log_page.get_by_role("heading", name="1 Metal and filler"),
        log_page.get_by_role("heading", name="5 Look"),
        stop,
        log_page.get_by_role("button", name="Hand in"),
    ]
    tops = [top_px(part) for part in parts]
    assert tops == sorted(tops)
