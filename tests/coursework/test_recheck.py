"""Stored coupons are assessed again by new rules; the old findings stay."""

import io
from datetime import UTC, datetime

import pytest
from django.core.management import call_command
from pytest_django import DjangoAssertNumQueries

from coursework import recheck as module
from coursework.models import Assessment, Coupon, Enrolment, Exercise, Finding, School, User
from coursework.recheck import recheck
from tests.factories import clean_document, grade_coupon, hand_in_coupon

AT = datetime(2026, 12, 1, 15, 0, tzinfo=UTC)
LATE = 5 * 60


@pytest.fixture
def late(enrolment: Enrolment, exercise: Exercise) -> list[Coupon]:
    """Five coupons welded five hours after the cleaning, which is a warning by today's rules."""
    document = clean_document(exercise, minutes_since_cleaning=LATE)
    return [hand_in_coupon(enrolment, exercise, document) for _ in range(5)]


def allow(school: School, hours: float) -> None:
    school.settings.cleaning_window_h = hours
    school.settings.save()


def rules_of(coupon: Coupon) -> set[str]:
    coupon.refresh_from_db()
    assert coupon.assessment
    return set(coupon.assessment.findings.values_list("rule", flat=True))


def printed(*arguments: str) -> str:
    out = io.StringIO()
    call_command("recheck", *arguments, stdout=out)
    return out.getvalue()


def test_a_longer_window_takes_the_warning_away_and_the_old_one_stays(
    late: list[Coupon], school: School
) -> None:
    before = rules_of(late[0])
    old = late[0].assessment
    allow(school, 6)
    assert "5 coupons assessed" in printed()
    after = rules_of(late[0])
    assert before - after == {"cleaning-window"}
    assert old
    assert set(old.findings.values_list("rule", flat=True)) == before
    assert late[0].assessment != old


def test_what_was_assessed_by_todays_rules_is_left_alone(late: list[Coupon]) -> None:
    assert "0 coupons assessed" in printed()
    assert Assessment.objects.count() == len(late)


@pytest.mark.postgres
def test_stopped_halfway_it_goes_on_where_it_stopped(
    late: list[Coupon], school: School, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "A_BATCH", 2)
    allow(school, 6)
    assert next(recheck(school, AT, graded=False)).coupons == 2
    assert Assessment.objects.count() == len(late) + 2
    assert [done.coupons for done in recheck(school, AT, graded=False)] == [2, 1]
    assert [*recheck(school, AT, graded=False)] == []
    assert Assessment.objects.count() == 2 * len(late)


def test_a_batch_that_fails_is_not_half_done(
    late: list[Coupon], school: School, monkeypatch: pytest.MonkeyPatch
) -> None:
    allow(school, 6)
    saved = Finding.objects.bulk_create

    def fail_at_the_last(rows: list[Finding]) -> list[Finding]:
        if Assessment.objects.count() == 2 * len(late):
            raise KeyboardInterrupt
        return saved(rows)

    monkeypatch.setattr(Finding.objects, "bulk_create", fail_at_the_last)
    assert "Stopped after 0 of 5; start it again to go on." in printed()
    assert Assessment.objects.count() == len(late)
    monkeypatch.undo()
    assert "5 coupons assessed" in printed()


def test_a_graded_coupon_keeps_its_findings_unless_asked_for(
    late: list[Coupon], school: School, instructor: User
) -> None:
    grade_coupon(late[0], instructor)
    allow(school, 6)
    said = printed()
    assert "4 coupons assessed" in said
    assert "Left as their graders saw them: 1 coupon;" in said
    assert "cleaning-window" in rules_of(late[0])
    assert "1 coupon assessed" in printed("--graded")
    assert "cleaning-window" not in rules_of(late[0])


def test_a_withdrawn_coupon_is_left_alone(late: list[Coupon], school: School) -> None:
    Coupon.objects.filter(pk=late[0].pk).update(state=Coupon.State.WITHDRAWN)
    allow(school, 6)
    assert "4 coupons assessed" in printed("--graded")


def test_facts_that_cannot_be_read_any_more_are_named(late: list[Coupon], school: School) -> None:
    facts = late[0].facts
    assert facts
    type(facts).objects.filter(pk=facts.pk).update(polarity="both")
    allow(school, 6)
    said = printed()
    assert "4 coupons assessed" in said
    assert f"its old findings stay: {late[0].public_id}: polarity: expected one of" in said


def test_a_batch_takes_a_fixed_number_of_queries_a_coupon(
    late: list[Coupon],
    school: School,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    allow(school, 6)
    batch = 10
    with django_assert_max_num_queries(batch + 3 * len(late) + 2):
        for _ in recheck(school, AT, graded=False):
            pass
