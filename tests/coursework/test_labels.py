"""The page that chooses labels, and where the code on one leads."""

import re
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coursework.models import Coupon, Enrolment, Section, User
from coursework.shop_prints import GAP_MM, INSET_MM, LARGEST_QR_MM
from tests.coursework.pdfs import addresses_drawn, read, where, words
from tests.factories import EnrolmentFactory

type Sent = dict[str, Any]
type ClientOf = Callable[[User], Client]


@pytest.fixture
def staff(client_of: ClientOf, instructor: User) -> Client:
    return client_of(instructor)


def labels_of(section: Section) -> str:
    return reverse("coursework:labels_pdf", args=[section.pk])


@pytest.mark.pdf
@pytest.mark.django_db
def test_labels_of_students_name_the_student_and_lead_to_the_log(
    staff: Client, section: Section, enrolment: Enrolment, client_of: ClientOf, exercise: object
) -> None:
    chosen: Sent = {"of": "students", "student": enrolment.pk, "copies": 3, "preset": "letter-30"}
    answer = staff.get(labels_of(section), chosen)
    assert answer.headers["Content-Type"] == "application/pdf"
    assert words(answer.content).count("Quill,Ansa") == 3
    address = reverse("coursework:label", args=[enrolment.pk])
    led = client_of(enrolment.user).get(address)
    assert led.headers["Location"].endswith("/log/")
    assert staff.get(address).headers["Location"] == f"/students/{enrolment.pk}/"


@pytest.mark.django_db
def test_a_label_names_and_does_not_permit(
    client: Client, enrolment: Enrolment, coupon: Coupon, stranger: User, client_of: ClientOf
) -> None:
    for address in (f"/s/{enrolment.pk}/", f"/coupons/{coupon.public_id}/"):
        assert client.get(address).headers["Location"].startswith("/sign-in/?next=")
        assert client_of(stranger).get(address).status_code == 404


@pytest.mark.pdf
@pytest.mark.django_db
def test_labels_of_coupons_say_which_one_it_is(
    staff: Client, section: Section, coupon: Coupon
) -> None:
    chosen: Sent = {"of": "coupons", "coupon": coupon.pk, "preset": "a4-14", "start": 14}
    text = words(staff.get(labels_of(section), chosen).content)
    assert f"Coupon{coupon.number}Quill,Ansa" in text
    # MOMENT is 15:00 UTC, the same day at the school.
    assert "2026-09-14" in text


OWN_SHEET = {
    "preset": "own",
    "page": "A4",
    "rows": "5",
    "columns": "2",
    "top_mm": "21,5",
    "bottom_mm": "21.5",
    "left_mm": "5",
    "right_mm": "5",
    "across_mm": "0",
    "down_mm": "0",
}


@pytest.mark.pdf
@pytest.mark.django_db
def test_a_sheet_of_ones_own_is_described_with_point_or_comma(
    staff: Client, section: Section, enrolment: Enrolment
) -> None:
    chosen: Sent = {"of": "students", "student": enrolment.pk, "start": 10, **OWN_SHEET}
    page = read(staff.get(labels_of(section), chosen).content).pages[0]
    # The tenth label of 100 mm by 50.8 mm begins at 105 mm and 21.5 + 4 * 50.8 mm.
    x, y = next(place for text, place in where(page).items() if text.startswith("Quill"))
    assert x == pytest.approx(105 + INSET_MM + LARGEST_QR_MM + GAP_MM, abs=0.3)
    assert 224.7 + 2 < y < 224.7 + 6


WRONG: dict[str, tuple[dict[str, Any], str]] = {
    "nobody chosen": ({"student": []}, "Choose at least one."),
    "a place that is not on the sheet": ({"start": "22"}, "The sheet has 21 labels."),
    "a place that is no number": ({"start": "two"}, "Enter a whole number."),
    "no copies": ({"copies": "0"}, "greater than or equal to 1"),
    "an unknown sheet": ({"preset": "a3"}, "Select a valid choice."),
    "a sheet half described": (OWN_SHEET | {"left_mm": ""}, "Measure it on your sheet"),
    "no number of mm": (OWN_SHEET | {"left_mm": "wide"}, "“wide” is not a number."),
    "a margin as wide as the paper": (OWN_SHEET | {"left_mm": "301"}, "from 0 to 300 mm"),
    "labels of no size": (OWN_SHEET | {"left_mm": "205"}, "A code that phones read wants"),
    "labels too small": (OWN_SHEET | {"rows": "14"}, "The labels would be 100.0 × 18.1 mm."),
}


@pytest.mark.django_db
@pytest.mark.parametrize("kind", WRONG)
def test_what_cannot_be_printed_says_why_and_keeps_what_was_typed(
    staff: Client, section: Section, enrolment: Enrolment, kind: str
) -> None:
    changes, says = WRONG[kind]
    usual: Sent = {"of": "students", "student": enrolment.pk, "preset": "a4-21", "start": "1"}
    answer = staff.get(labels_of(section), usual | changes)
    assert answer.status_code == 422
    assert says in answer.text
    if "left_mm" in changes:
        assert 'value="21,5"' in answer.text
    if kind != "nobody chosen":
        assert re.search(rf'value="{enrolment.pk}"\s+checked', answer.text)


@pytest.mark.django_db
def test_no_student_or_coupon_of_another_section_gets_on_a_label(
    staff: Client, section: Section, other_section: Section, stranger: User
) -> None:
    other = Enrolment.objects.get(user=stranger)
    chosen: Sent = {"student": other.pk, "preset": "a4-21"}
    answer = staff.get(labels_of(section), chosen)
    assert answer.status_code == 422
    assert "Rook" not in answer.text


@pytest.mark.django_db
def test_the_page_offers_students_chosen_and_coupons_not(
    staff: Client, section: Section, coupon: Coupon
) -> None:
    page = reverse("coursework:labels", args=[section.pk])
    EnrolmentFactory.create(section=section, left_at=datetime(2026, 9, 1, tzinfo=UTC))
    assert staff.get(page).text.count(" checked") == 1
    text = staff.get(page, {"of": "coupons"}).text
    assert f"coupon {coupon.number}" in text
    assert " checked" not in text


@pytest.mark.pdf
@pytest.mark.django_db
@pytest.mark.parametrize("of", ["student", "coupon"])
def test_the_code_on_a_label_holds_the_address_that_it_names(
    staff: Client, section: Section, coupon: Coupon, of: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    scanned = addresses_drawn(monkeypatch)
    keys = {"student": coupon.enrolment_id, "coupon": coupon.pk}
    chosen: Sent = {"of": f"{of}s", of: keys[of], "preset": "a4-21"}
    staff.get(labels_of(section), chosen)
    paths = {"student": f"s/{coupon.enrolment_id}", "coupon": f"coupons/{coupon.public_id}"}
    assert scanned == [f"http://testserver/{paths[of]}/"]
