"""A coupon's own page, correcting it, withdrawing it."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from coursework.hand_in import Statement, rows_of
from coursework.models import Coupon, CouponFacts, Exercise, User
from tests.coursework.posting import typed_coupon
from tests.factories import clean_document, grade_coupon, hand_in_coupon

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client_of: Callable[[User], Client], student: User) -> Client:
    return client_of(student)


def address(coupon: Coupon) -> str:
    return f"/coupons/{coupon.public_id}/"


def test_the_review_says_figures_flags_and_what_was_logged(
    client: Client, enrolment: Any, exercise: Exercise
) -> None:
    document = clean_document(exercise, gas_flow_l_min=3, polarity="DCEN")
    answer = client.get(address(hand_in_coupon(enrolment, exercise, document)))
    text = re.sub(r"<[^>]+>|\s+", " ", answer.text)
    assert "Stop:" in text
    assert "Warn:" in text
    # 14 V x 135 A / 4 mm/s: arithmetic identity.
    assert "0.473" in text
    assert "Rests on:" in text
    assert "A training record, not a qualification." in text


def test_a_hostile_word_is_shown_and_not_run(
    client: Client, enrolment: Any, exercise: Exercise
) -> None:
    evil = "<script>alert(1)</script>"
    document = clean_document(exercise, base_metals=[{"alloy": "6061", "temper": evil[:12]}])
    answer = client.get(address(hand_in_coupon(enrolment, exercise, document)))
    assert evil[:12] not in answer.text
    assert "&lt;script" in answer.text


def test_the_prediction_and_the_grade_stand_side_by_side(
    client: Client, graded_coupon: Coupon
) -> None:
    answer = client.get(address(graded_coupon))
    assert "Own prediction" in answer.text
    assert "Graded: accepted" in answer.text


def test_a_regrade_keeps_the_earlier_grade_in_sight(
    client: Client, graded_coupon: Coupon, instructor: User
) -> None:
    grade_coupon(
        graded_coupon,
        instructor,
        level=4,
        comment="Better seen.",
        reason="Second look by daylight.",
    )
    answer = client.get(address(graded_coupon))
    assert "Earlier grades" in answer.text
    assert "Grade 1 by" in answer.text
    assert "Second look by daylight." in answer.text


def test_a_correction_keeps_what_was_stated_before(client: Client, coupon: Coupon) -> None:
    page = client.get(address(coupon) + "correct/")
    based_on = str(page.context["form"]["based_on"].value())
    answer = client.post(
        address(coupon) + "correct/", typed_coupon(based_on=based_on, current_a="120")
    )
    assert answer.headers["Location"] == address(coupon)
    coupon.refresh_from_db()
    assert coupon.version == 2
    currents = [facts.document()["current_a"] for facts in coupon.all_facts.order_by("number")]
    assert currents == [135.0, 120.0]
    assert all(facts.assessments.count() == 1 for facts in coupon.all_facts.all())


def test_a_correction_form_shows_what_the_coupon_states(client: Client, coupon: Coupon) -> None:
    form = client.get(address(coupon) + "correct/").context["form"]
    assert form["filler"].value() == "5356"
    assert form["step_remove_oxide_place"].value() == 3
    assert form["cleaning_answer"].value() == "done"


@pytest.mark.parametrize("act", ["correct", "withdraw"])
def test_an_old_page_does_not_overwrite_a_newer_coupon(
    client: Client, coupon: Coupon, act: str
) -> None:
    client.post(address(coupon) + "correct/", typed_coupon(based_on="1"))
    answer = client.post(address(coupon) + f"{act}/", typed_coupon(based_on="1", current_a="121"))
    assert answer.status_code == 409
    coupon.refresh_from_db()
    assert (coupon.version, coupon.state) == (2, "handed_in")


@pytest.mark.parametrize("act", ["correct", "withdraw"])
def test_a_graded_coupon_is_neither_corrected_nor_withdrawn(
    client: Client, coupon: Coupon, instructor: User, act: str
) -> None:
    grade_coupon(coupon, instructor)
    answer = client.post(address(coupon) + f"{act}/", typed_coupon(based_on="2"))
    assert answer.status_code == 409
    assert "was not changed" in answer.text
    coupon.refresh_from_db()
    assert coupon.state == "accepted"


def test_a_withdrawn_coupon_leaves_the_queue_and_keeps_its_facts(
    client: Client, coupon: Coupon
) -> None:
    assert "Withdraw Coupon 1?" in client.get(address(coupon) + "withdraw/").text
    assert client.post(address(coupon) + "withdraw/", {"based_on": "1"}).status_code == 302
    coupon.refresh_from_db()
    assert coupon.state == "withdrawn"
    assert coupon.all_facts.count() == 1
    assert client.get(address(coupon)).status_code == 200


@pytest.mark.parametrize("based_on", ["", "x", "-1", "9" * 40, "²"])
def test_a_withdrawal_that_names_no_version_is_a_conflict(
    client: Client, coupon: Coupon, based_on: str
) -> None:
    assert client.post(address(coupon) + "withdraw/", {"based_on": based_on}).status_code == 409


def test_shop_units_come_first_where_the_school_says_so(client: Client, coupon: Coupon) -> None:
    # 4 mm/s = 9.449 in/min: identity, 25.4 mm to the inch.
    assert re.search(r"9\.4<span class=.unit.>\s*(&nbsp;)?in/min", client.get(address(coupon)).text)
    settings = coupon.section.term.school.settings
    settings.units = "metric"
    settings.save()
    assert re.search(r"4\.0<span class=.unit.>\s*(&nbsp;)?mm/s", client.get(address(coupon)).text)


@pytest.mark.parametrize("act", ["", "correct/"])
def test_a_classmates_coupon_is_not_there(
    client_of: Callable[[User], Client], classmate: User, coupon: Coupon, act: str
) -> None:
    assert client_of(classmate).get(address(coupon) + act).status_code == 404


def test_pages_cost_few_queries_however_many_coupons_there_are(
    client: Client,
    enrolment: Any,
    exercise: Exercise,
    coupon: Coupon,
    django_assert_max_num_queries: Any,
) -> None:
    for _count in range(8):
        hand_in_coupon(enrolment, exercise)
    with django_assert_max_num_queries(9):
        client.get("/coupons/")
    with django_assert_max_num_queries(14):
        client.get("/bench/")
    with django_assert_max_num_queries(20):
        client.get(address(coupon))


class EveryDocumentReadsBack(TestCase):
    """What a coupon states is stored and read back whole."""

    @given(
        st.fixed_dictionaries(
            {"process": st.sampled_from(["GTAW", "GMAW"])},
            optional={
                "current_a": st.floats(0, 1e6),
                "weld_length_mm": st.floats(0, 1e6),
                "runs": st.integers(1, 9),
                "torch_angle_deg": st.floats(-90, 90),
                "draught": st.booleans(),
                "filler": st.none() | st.just({"designation": "4043", "diameter_mm": 2.4}),
                "ac": st.fixed_dictionaries({"en_percent": st.floats(0, 100)}),
                "fillet": st.fixed_dictionaries({"leg_1_mm": st.floats(0, 50)}),
                "base_metals": st.lists(
                    st.fixed_dictionaries({"alloy": st.sampled_from(["6061", "5052"])}),
                    min_size=1,
                    max_size=2,
                ),
                "cleaning": st.lists(
                    st.fixed_dictionaries({"step": st.sampled_from(["degrease", "dry"])}),
                    max_size=3,
                ),
                "imperfections": st.lists(
                    st.fixed_dictionaries({"number": st.just("2017"), "at_mm": st.floats(0, 300)}),
                    max_size=2,
                ),
            },
        )
    )
    @settings(max_examples=25)
    def test_a_document_comes_back_as_it_went_in(self, document: dict[str, Any]) -> None:
        from tests.factories import EnrolmentFactory, ExerciseFactory

        enrolment = EnrolmentFactory.create()
        exercise = ExerciseFactory.create(plan=enrolment.section.plan)
        coupon = hand_in_coupon(enrolment, exercise)
        rows = rows_of(coupon, 2, Statement(document=document), enrolment.user, coupon.handed_in_at)
        stored = CouponFacts.objects.get(pk=rows.save().pk).document()
        assert stored == {"runs": 1} | document
