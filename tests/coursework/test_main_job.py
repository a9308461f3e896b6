"""The whole main job in a browser: a student on a phone, an instructor on a laptop."""

import csv
import io
import re

import pytest
from playwright.sync_api import Page, expect

from coursework.models import Coupon, Enrolment, Exercise, IssuedRecord, Section, User

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.pdf]

PASSWORD = "quiet torch on the bench"  # noqa: S105 - of an invented person


@pytest.fixture
def people(student: User, instructor: User) -> None:
    for user in (student, instructor):
        user.set_password(PASSWORD)
        user.save()


def sign_in(page: Page, user: User) -> None:
    page.goto("/")
    page.get_by_label("User name").fill(user.username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()


def tap(page: Page, words: str) -> None:
    page.get_by_role("button", name=re.compile(words)).tap()


def measure(page: Page, label: str, text: str) -> None:
    page.get_by_label(label, exact=False).and_(page.locator("input[type=text]")).first.fill(text)


def log_a_coupon(page: Page) -> None:
    """Tap and type a coupon in the order of the work."""
    page.get_by_role("link", name="Log a coupon").tap()
    page.get_by_label("Filler", exact=True).select_option("5356")
    measure(page, "Filler diameter", "2,4")
    page.get_by_label("I cleaned it: the steps are below").check()
    tap(page, "Wiped with the degreaser")
    tap(page, "Let it dry")
    tap(page, "Took the oxide off")
    page.get_by_label("Took the oxide off, with").select_option("stainless_hand_brush")
    page.get_by_label("Took the oxide off, kept").select_option("aluminium_only")
    page.get_by_label("Polarity").select_option("AC")
    measure(page, "Current", "135")
    measure(page, "Arc volts", "14")
    page.get_by_label("Gas", exact=True).select_option("argon")
    measure(page, "Gas flow", "3")
    measure(page, "Arc time", "0:36")
    measure(page, "Weld length", "6")
    page.get_by_label("Nothing to see").check()
    page.get_by_label("meets it").check()


def export(page: Page, kind: str) -> bytes:
    """Return the file that the page's link of this kind leads to."""
    address = page.get_by_role("link", name=re.compile(kind)).first.get_attribute("href")
    answer = page.request.get(str(address))
    assert answer.ok
    return answer.body()


def test_log_review_grade_issue_export(
    people: None,
    phone: Page,
    laptop: Page,
    student: User,
    instructor: User,
    enrolment: Enrolment,
    section: Section,
    exercise: Exercise,
) -> None:
    sign_in(phone, student)
    log_a_coupon(phone)
    # The live figures come from the server: 14 V x 135 A x 36 s / 152.4 mm = 0.446 kJ/mm.
    expect(phone.locator("#live")).to_contain_text("0.446")
    phone.get_by_role("button", name="Hand in the coupon").tap()

    expect(phone.get_by_role("heading", level=1)).to_have_text("Coupon 1")
    expect(phone.get_by_text("Warn:").first).to_be_visible()
    expect(phone.locator(".figures")).to_contain_text("0.446")
    coupon = Coupon.objects.get()
    assert coupon.state == "handed_in"

    sign_in(laptop, instructor)
    laptop.get_by_role("link", name=str(section), exact=True).click()
    laptop.get_by_role("link", name="Grade what waits").click()
    laptop.get_by_role("link", name="Grade the first").click()
    for gate in laptop.get_by_role("radio", name=re.compile(r"\bKept\b")).all():
        gate.check()
    for row in laptop.locator("fieldset.rubric-row").filter(has_not_text="must be kept").all():
        row.get_by_role("radio").nth(2).check()
    laptop.get_by_label("Words to the student").fill("Even ripples. Open the gas a little.")
    laptop.get_by_role("button", name=re.compile("Accept")).click()
    expect(laptop).not_to_have_url(re.compile("/grade/$"))
    coupon.refresh_from_db()
    assert coupon.state == "accepted"

    phone.reload()
    expect(phone.get_by_text("Graded: accepted")).to_be_visible()
    expect(phone.get_by_text("Even ripples. Open the gas a little.")).to_be_visible()

    laptop.goto(f"/students/{enrolment.pk}/record/")
    laptop.get_by_role("button", name=re.compile("Issue")).click()
    expect(laptop).to_have_url(re.compile(r"/records/[\w-]+/$"))
    assert IssuedRecord.objects.get().enrolment == enrolment
    assert export(laptop, "PDF").startswith(b"%PDF")
    rows = list(csv.DictReader(io.StringIO(export(laptop, "CSV").decode("utf-8-sig"))))
    assert any(exercise.title in row.values() for row in rows)
