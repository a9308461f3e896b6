"""The pages of a correction request: a student asks, staff decide, the student answers."""

from collections.abc import Callable

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from coursework import corrections
from coursework.models import CorrectionRequest, Coupon, Enrolment, Section, User
from tests.coursework.past_terms import close
from tests.factories import MOMENT

pytestmark = pytest.mark.django_db

type ClientOf = Callable[[User], Client]

WRONG = "The filler was 4043, not 5356."


@pytest.fixture
def asked(enrolment: Enrolment, graded_coupon: Coupon) -> CorrectionRequest:
    """A request about the graded coupon."""
    return corrections.ask(enrolment, graded_coupon, WRONG, at=MOMENT)


def test_from_a_coupon_to_a_decision_to_a_statement(
    client_of: ClientOf, student: User, instructor: User, graded_coupon: Coupon
) -> None:
    own, staff = client_of(student), client_of(instructor)
    address = f"/corrections/?coupon={graded_coupon.public_id}"
    assert address.replace("&", "&amp;") in own.get(f"/coupons/{graded_coupon.public_id}/").text
    form = own.get(address).context["form"]
    about = form["about"].value()
    assert about == f"coupon-{graded_coupon.public_id}"

    page = own.post("/corrections/", {"about": about, "what": WRONG}, follow=True)
    request = CorrectionRequest.objects.get()
    assert (request.coupon, request.about) == (graded_coupon, "Coupon 1")
    assert "Not decided yet" in page.text

    assert WRONG in staff.get("/corrections/requests/").text
    staff.post(
        f"/corrections/{request.pk}/decide/",
        {"decision": "declined", "reason": "The rod bin shows 5356."},
    )
    page = own.get(f"/corrections/{request.pk}/")
    assert "The rod bin shows 5356." in page.text
    assert "Odo Hale" in page.text

    page = own.post(
        f"/corrections/{request.pk}/state/", {"statement": "The bin was mixed."}, follow=True
    )
    assert "Your statement goes with every copy" in page.text
    assert "The bin was mixed." in staff.get(f"/corrections/{request.pk}/").text


def test_the_page_says_that_it_is_about_accuracy(client_of: ClientOf, enrolment: Enrolment) -> None:
    page = client_of(enrolment.user).get("/corrections/").text
    assert "whether the record is accurate" in page
    assert "not for arguing how a weld was judged" in page


def test_a_student_may_ask_in_a_term_that_is_closed(
    client_of: ClientOf, enrolment: Enrolment, section: Section
) -> None:
    close(section)
    client_of(enrolment.user).post(
        "/corrections/", {"about": f"record-{enrolment.pk}", "what": "My name has two Ls."}
    )
    assert CorrectionRequest.objects.get().about == "The record as a whole"


@pytest.mark.parametrize("about", ["", "record-0", "coupon-x"])
def test_nobody_asks_about_what_is_not_their_own(
    client_of: ClientOf, student: User, enrolment: Enrolment, about: str
) -> None:
    answer = client_of(student).post("/corrections/", {"about": about, "what": WRONG})
    assert answer.status_code == 422
    assert WRONG in answer.text
    assert not CorrectionRequest.objects.exists()


def test_a_classmate_s_coupon_is_not_on_the_list(
    client_of: ClientOf, classmate: User, graded_coupon: Coupon
) -> None:
    about = f"coupon-{graded_coupon.public_id}"
    answer = client_of(classmate).post("/corrections/", {"about": about, "what": WRONG})
    assert answer.status_code == 422
    assert not CorrectionRequest.objects.exists()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"decision": "accepted"}, "Say why in a sentence or two."),
        ({"reason": "It is so."}, "Choose whether you accept or decline it."),
        ({"decision": "", "reason": "It is so."}, "Choose whether you accept or decline it."),
        ({"decision": "accepted", "reason": "x" * 1001}, "at most 1000 characters"),
    ],
)
def test_half_a_decision_is_asked_for_again_with_what_was_typed(
    client_of: ClientOf,
    instructor: User,
    asked: CorrectionRequest,
    typed: dict[str, str],
    said: str,
) -> None:
    answer = client_of(instructor).post(f"/corrections/{asked.pk}/decide/", typed)
    assert answer.status_code == 422
    assert said in answer.text
    assert typed.get("reason", "") in answer.text
    asked.refresh_from_db()
    assert asked.is_open


def test_whoever_decides_second_is_told_and_keeps_what_was_typed(
    client_of: ClientOf, instructor: User, coordinator: User, asked: CorrectionRequest
) -> None:
    decision = {"decision": "accepted", "reason": "Graded again with 4043."}
    assert client_of(coordinator).post(f"/corrections/{asked.pk}/decide/", decision).status_code
    answer = client_of(instructor).post(
        f"/corrections/{asked.pk}/decide/", {"decision": "declined", "reason": "No."}
    )
    assert answer.status_code == 409
    assert "Somebody decided this just now." in answer.text
    assert "Graded again with 4043." in answer.text
    asked.refresh_from_db()
    assert asked.decision == "accepted"


def test_a_statement_is_placed_once_and_only_where_declined(
    client_of: ClientOf, student: User, instructor: User, asked: CorrectionRequest
) -> None:
    own, address = client_of(student), f"/corrections/{asked.pk}/state/"
    assert own.post(address, {"statement": "But."}).status_code == 409
    corrections.decide(asked, "declined", "No.", by=instructor, at=MOMENT)
    assert own.post(address, {"statement": " "}).status_code == 422
    assert own.post(address, {"statement": "But."}).status_code == 302
    assert own.post(address, {"statement": "And."}).status_code == 409
    asked.refresh_from_db()
    assert asked.statement == "But."


def test_staff_see_open_requests_first_in_pages_that_miss_none(
    client_of: ClientOf,
    coordinator: User,
    instructor: User,
    enrolment: Enrolment,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    for number in range(52):
        request = corrections.ask(enrolment, None, f"Number {number}.", at=MOMENT)
        if number < 26:
            corrections.decide(request, "accepted", "Done.", by=instructor, at=MOMENT)
    office = client_of(coordinator)
    with django_assert_max_num_queries(8):
        first = office.get("/corrections/requests/").text
    second = office.get("/corrections/requests/?page=2").text
    assert "26 wait for a decision" in first
    assert first.index("Number 51.") < first.index("Number 0.")
    for number in range(52):
        assert (first + second).count(f"Number {number}.") == 1


def test_hostile_text_stays_text(
    client_of: ClientOf, instructor: User, enrolment: Enrolment
) -> None:
    hostile = "<link rel=attachment href=file:///etc/passwd>\u202e=cmd"
    request = corrections.ask(enrolment, None, hostile, at=MOMENT)
    for address in ("/corrections/requests/", f"/corrections/{request.pk}/"):
        page = client_of(instructor).get(address).text
        assert "<link rel=attachment" not in page
        assert "&lt;link rel=attachment" in page
