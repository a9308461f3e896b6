"""Correction requests: who asks, how it is decided, and what travels with the record.

The steps (a request about accuracy, a decision, a statement that goes with the record where the
request is declined) are those of 34 CFR 99.20 to 99.22, from memory.
"""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import IntegrityError, transaction

from coursework import corrections
from coursework.corrections import DecidedMeanwhile, NoStatementNow, statements_of
from coursework.models import CorrectionRequest, Coupon, Enrolment, User
from coursework.record_lines import Correction
from tests.factories import MOMENT

pytestmark = pytest.mark.django_db

Decision = CorrectionRequest.Decision


def asked(enrolment: Enrolment, coupon: Coupon | None = None, **at: datetime) -> CorrectionRequest:
    return corrections.ask(enrolment, coupon, "I used 4043, not 5356.", at=at.get("at", MOMENT))


@pytest.fixture
def declined(enrolment: Enrolment, coupon: Coupon, instructor: User) -> CorrectionRequest:
    """A request that the instructor declined."""
    request = asked(enrolment, coupon)
    corrections.decide(
        request, Decision.DECLINED, "The rod bin shows 5356.", by=instructor, at=MOMENT
    )
    return request


def test_a_statement_says_what_was_asked_why_it_was_declined_and_what_the_student_says(
    declined: CorrectionRequest, enrolment: Enrolment
) -> None:
    later = MOMENT + timedelta(days=2)
    corrections.state(declined, "The bin was mixed that day.", at=later)
    assert statements_of(enrolment) == (
        Correction(
            about="Coupon 1",
            asked_on=date(2026, 9, 14),
            asked="I used 4043, not 5356.",
            decision="declined",
            reason="The rod bin shows 5356.",
            statement="The bin was mixed that day.",
            stated_at=later,
        ),
    )


def test_the_day_of_a_request_is_the_school_s(enrolment: Enrolment, instructor: User) -> None:
    # 03:00 in UTC is 22:00 of the day before in Chicago.
    request = asked(enrolment, at=datetime(2026, 9, 15, 3, 0, tzinfo=UTC))
    corrections.decide(request, Decision.DECLINED, "No.", by=instructor, at=MOMENT)
    corrections.state(request, "Still.", at=MOMENT)
    (found,) = statements_of(enrolment)
    assert (found.about, found.asked_on) == ("The record as a whole", date(2026, 9, 14))


def test_nothing_travels_before_a_statement_is_placed(
    declined: CorrectionRequest, enrolment: Enrolment, instructor: User
) -> None:
    accepted = asked(enrolment)
    corrections.decide(accepted, Decision.ACCEPTED, "Put right.", by=instructor, at=MOMENT)
    asked(enrolment)
    assert statements_of(enrolment) == ()


def test_statements_stand_in_the_order_of_their_requests(
    enrolment: Enrolment, instructor: User
) -> None:
    for hours in (5, 1, 3):
        request = corrections.ask(
            enrolment, None, f"After {hours} h.", at=MOMENT + timedelta(hours=hours)
        )
        corrections.decide(request, Decision.DECLINED, "No.", by=instructor, at=MOMENT)
        corrections.state(request, "Still.", at=MOMENT)
    assert [each.asked for each in statements_of(enrolment)] == [
        "After 1 h.",
        "After 3 h.",
        "After 5 h.",
    ]


def test_the_same_request_sent_twice_is_one(enrolment: Enrolment, coupon: Coupon) -> None:
    assert asked(enrolment, coupon) == asked(enrolment, coupon)
    assert asked(enrolment) != asked(enrolment, coupon)
    assert CorrectionRequest.objects.count() == 2


def test_the_first_decision_stays(
    declined: CorrectionRequest, instructor: User, coordinator: User
) -> None:
    with pytest.raises(DecidedMeanwhile):
        corrections.decide(declined, Decision.ACCEPTED, "Yes.", by=coordinator, at=MOMENT)
    declined.refresh_from_db()
    assert (declined.decision, declined.decided_by) == (Decision.DECLINED, instructor)


@pytest.mark.parametrize("decision", [Decision.OPEN, Decision.ACCEPTED])
def test_a_statement_wants_a_request_that_was_declined(
    enrolment: Enrolment, instructor: User, decision: str
) -> None:
    request = asked(enrolment)
    if decision:
        corrections.decide(request, decision, "Put right.", by=instructor, at=MOMENT)
    with pytest.raises(NoStatementNow):
        corrections.state(request, "Still.", at=MOMENT)


def test_a_statement_stays_as_it_was_placed(declined: CorrectionRequest) -> None:
    corrections.state(declined, "The bin was mixed.", at=MOMENT)
    with pytest.raises(NoStatementNow):
        corrections.state(declined, "Another text.", at=MOMENT)
    declined.refresh_from_db()
    assert declined.statement == "The bin was mixed."


@pytest.mark.postgres
@pytest.mark.parametrize(
    "changes",
    [
        {"decision": "declined"},
        {"reason": "No."},
        {"statement": "Still.", "stated_at": MOMENT},
        {"decision": "maybe", "reason": "No.", "decided_at": MOMENT},
    ],
)
def test_the_database_takes_no_half_of_a_decision(
    enrolment: Enrolment, changes: dict[str, object]
) -> None:
    request = asked(enrolment)
    with pytest.raises(IntegrityError), transaction.atomic():
        CorrectionRequest.objects.filter(pk=request.pk).update(**changes)
