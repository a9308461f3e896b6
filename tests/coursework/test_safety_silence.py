"""A coupon with a safety stop is nowhere said to be in order."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from coursework.models import Coupon, Enrolment, Exercise, User
from coursework.record_making import term_record
from tests.coursework.words import words_on
from tests.factories import clean_document, hand_in_coupon

pytestmark = pytest.mark.django_db


def cleaned_with(exercise: Exercise, agent: str) -> dict[str, Any]:
    """Return a coupon that was cleaned in order, with this agent."""
    document = clean_document(exercise)
    degrease, *rest = document["cleaning"]
    return document | {"cleaning": [degrease | {"agent": agent}, *rest]}


@pytest.fixture
def poisoned(enrolment: Enrolment, exercise: Exercise) -> Coupon:
    """A coupon that was cleaned in order, with a chlorinated solvent."""
    return hand_in_coupon(enrolment, exercise, cleaned_with(exercise, "chlorinated"))


def test_the_page_of_the_coupon_never_says_that_there_are_no_flags(
    client_of: Callable[[User], Client], student: User, poisoned: Coupon
) -> None:
    said = words_on(client_of(student).get(f"/coupons/{poisoned.public_id}/"))
    assert "phosgene" in said
    assert "Flags None." not in said
    assert "None beside the stops above." in said


def test_the_page_of_the_grader_never_says_that_there_is_no_flag(
    client_of: Callable[[User], Client], instructor: User, poisoned: Coupon
) -> None:
    said = words_on(client_of(instructor).get(f"/coupons/{poisoned.public_id}/grade/"))
    assert "phosgene" in said
    assert "No flag." not in said


def test_the_record_counts_it_as_not_cleaned_in_order(
    enrolment: Enrolment, exercise: Exercise, poisoned: Coupon
) -> None:
    assert [each.of - each.count for each in term_record(enrolment).cleaning_in_order] == [1]
    hand_in_coupon(enrolment, exercise, cleaned_with(exercise, "acetone"))
    weeks = term_record(enrolment).cleaning_in_order
    assert (sum(each.count for each in weeks), sum(each.of for each in weeks)) == (1, 2)
