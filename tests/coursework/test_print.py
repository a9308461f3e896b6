"""Pages printed by the browser: what is left off the paper, and what keeps its shape."""

from collections.abc import Callable

from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from coursework import issuing
from coursework.models import Coupon, Enrolment, User

# Less than a letter page between its margins, in CSS pixels.
PAPER_PX = 680


def test_an_issued_record_is_printed_without_its_links(
    laptop: Page, sign_in: Callable[[Page, object], None], instructor: User, enrolment: Enrolment
) -> None:
    issued = issuing.issue(enrolment, instructor, timezone.now(), after_issue=0)
    sign_in(laptop, instructor)
    laptop.emulate_media(media="print")
    laptop.goto(reverse("coursework:issued_record", args=[issued.code]))
    links = laptop.get_by_text("Open the PDF")
    expect(links).to_have_count(1)
    expect(links).to_be_hidden()
    expect(laptop.locator(".paper-title")).to_be_visible()


def test_the_section_is_printed_as_a_table(
    laptop: Page, sign_in: Callable[[Page, object], None], instructor: User, coupon: Coupon
) -> None:
    sign_in(laptop, instructor)
    laptop.set_viewport_size({"width": PAPER_PX, "height": 900})
    laptop.goto(reverse("coursework:section", args=[coupon.section_id]))
    expect(laptop.locator(".grid-table")).to_have_css("display", "block")
    laptop.emulate_media(media="print")
    expect(laptop.locator(".grid-table")).to_have_css("display", "table")
    expect(laptop.locator(".grid-table thead")).to_be_visible()
