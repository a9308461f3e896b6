"""The grading page in a browser: what is in view, and what a row says once it is scored."""

from collections.abc import Callable

from django.urls import reverse
from playwright.sync_api import Page, expect

from coursework.models import Coupon, Enrolment, Exercise, User
from tests.factories import clean_document, hand_in_coupon

type SignIn = Callable[[Page, object], None]


def address(coupon: Coupon) -> str:
    return reverse("coursework:grade", args=[coupon.public_id])


def test_a_row_says_at_once_that_it_has_a_level(
    laptop: Page, sign_in: SignIn, instructor: User, coupon: Coupon
) -> None:
    sign_in(laptop, instructor)
    laptop.goto(address(coupon))
    row = laptop.get_by_role("group", name="Technique")
    expect(row.get_by_text("no level yet")).to_be_visible()
    row.locator('[value="3"]').check()
    expect(row.get_by_text("no level yet")).to_be_hidden()
    expect(row.locator("label").first).to_have_css("border-style", "solid")


def test_the_decision_is_in_view_from_the_start_whatever_stands_above_the_rubric(
    laptop: Page,
    sign_in: SignIn,
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
) -> None:
    bare = clean_document(exercise, cleaning=[], polarity="DCEN")
    stopped = hand_in_coupon(enrolment, exercise, bare)
    sign_in(laptop, instructor)
    laptop.goto(address(stopped))
    expect(laptop.locator(".finding.stop").first).to_be_visible()
    expect(laptop.locator("#sum")).to_be_in_viewport(ratio=1)
    for name in ("Return it, to be repeated", "Accept"):
        expect(laptop.get_by_role("button", name=name)).to_be_in_viewport(ratio=1)


def test_on_a_phone_a_link_leads_past_the_evidence_to_the_rubric(
    phone: Page, sign_in: SignIn, instructor: User, coupon: Coupon
) -> None:
    sign_in(phone, instructor)
    phone.goto(address(coupon))
    phone.get_by_role("link", name="To the rubric").click()
    expect(phone.get_by_role("heading", name="Rubric")).to_be_in_viewport()
