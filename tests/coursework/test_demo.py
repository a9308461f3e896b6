"""The invented term as it is loaded: never in the future, believable, the same every time."""

import math
import statistics
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection, transaction
from django.db.models import Count, F, Q
from pytest_django.plugin import DjangoDbBlocker

from coursework import agreeing, scoring, second_looks
from coursework.agreement import FEW
from coursework.demo.coupons import Hand, log_coupon, tasks_of
from coursework.demo.load import load
from coursework.demo.people import PEOPLE
from coursework.demo.pictures import PICTURES
from coursework.demo.story import STUCK_AT, chance_of
from coursework.forms.coupon_members import MEMBERS
from coursework.models import (
    Coupon,
    CouponFacts,
    Enrolment,
    Exercise,
    Finding,
    Grade,
    Photo,
    SchoolSettings,
    Score,
    SecondLook,
    Section,
    SignOff,
    Term,
    User,
)
from weldlog.engine.facts import read
from weldlog.engine.review import RULES, review

# The fixture opens the database itself; the mark lets it be made when this file runs alone.
pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 25)
ZONE = ZoneInfo(PEOPLE["time_zone"])
ORDER_RULES = ("cleaning-degrease-missing", "cleaning-degrease-late", "cleaning-dry-missing")


@pytest.fixture(scope="module")
def term(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Term]:
    """The loaded term, once for all tests here, and taken back after them."""
    with django_db_blocker.unblock(), transaction.atomic():
        load(TODAY)
        yield Term.objects.get()
        transaction.set_rollback(True)


def in_weeks(term: Term, first: int, last: int) -> list[Coupon]:
    found = Coupon.objects.select_related("assessment", "grade", "exercise").all()
    return [each for each in found if first <= term.week(local(each).date()) <= last]


def local(coupon: Coupon) -> datetime:
    return coupon.handed_in_at.astimezone(ZONE)


# --- the days


def test_no_coupon_grade_or_signature_is_of_the_day_of_loading_or_later(term: Term) -> None:
    latest = datetime.combine(TODAY, datetime.min.time(), ZONE)
    moments: list[Any] = [
        *Coupon.objects.values_list("handed_in_at", flat=True),
        *CouponFacts.objects.values_list("stated_at", flat=True),
        *Grade.objects.values_list("graded_at", flat=True),
        *SecondLook.objects.exclude(graded_at=None).values_list("graded_at", flat=True),
        *SignOff.objects.values_list("signed_at", flat=True),
    ]
    assert max(moments) < latest
    assert min(moments).astimezone(ZONE).date() >= term.starts_on


@pytest.mark.usefixtures("term")
def test_a_coupon_is_graded_after_it_was_handed_in_and_after_shop_hours() -> None:
    closes = {section["name"]: section["closes"] for section in PEOPLE["sections"]}
    graded = Grade.objects.select_related("coupon__section")
    for grade in graded:
        assert grade.graded_at > grade.coupon.handed_in_at
        clock = grade.graded_at.astimezone(ZONE).strftime("%H:%M")
        assert clock > closes[grade.coupon.section.name]


# --- the people and what they did


@pytest.mark.usefixtures("term")
def test_two_sections_of_sixteen_log_some_forty_coupons_each() -> None:
    counts = Enrolment.objects.filter(role="student").annotate(logged=Count("coupons"))
    assert Counter(each.section.name for each in counts) == {"A": 16, "B": 16}
    assert all(28 <= each.logged <= 52 for each in counts)
    assert 35 <= statistics.mean(each.logged for each in counts) <= 43


@pytest.mark.usefixtures("term")
def test_some_coupons_wait_some_were_withdrawn_and_some_corrected() -> None:
    for section in Section.objects.all():
        waiting = section.coupons.filter(state=Coupon.State.HANDED_IN).count()
        assert 5 <= waiting <= 10
        assert section.coupons.filter(state=Coupon.State.WITHDRAWN).count() >= 3
    corrected = Coupon.objects.filter(facts__number=2)
    assert corrected.count() >= 3
    assert all(each.all_facts.count() == 2 and each.version >= 2 for each in corrected)


@pytest.mark.usefixtures("term")
def test_every_rule_family_has_a_finding() -> None:
    found = set(Finding.objects.values_list("rule", flat=True))
    families = {rule.partition("-")[0] for rule in RULES}
    assert {rule.partition("-")[0] for rule in found} == families
    assert "safety-chlorinated-solvent" in found


@pytest.mark.usefixtures("term")
def test_the_stored_findings_are_those_of_the_engine() -> None:
    for facts in CouponFacts.objects.order_by("pk")[::97]:
        said = review(read(facts.document()))
        stored = facts.assessments.get().findings.values_list("rule", "severity")
        assert list(stored) == [(each.rule.id, each.severity) for each in said.findings]


def test_cleaning_in_the_wrong_order_fades(term: Term) -> None:
    def share(coupons: list[Coupon]) -> float:
        wrong = Finding.objects.filter(
            assessment__in=[each.assessment_id for each in coupons], rule__in=ORDER_RULES
        )
        return wrong.values("assessment").distinct().count() / len(coupons)

    assert share(in_weeks(term, 1, 3)) > 2 * share(in_weeks(term, 8, 11)) > 0


def test_the_travel_speed_steadies(term: Term) -> None:
    windows = {
        each.pk: each.windows.get(figure="travel_speed_mm_s") for each in Exercise.objects.all()
    }

    def spread(coupons: list[Coupon]) -> float:
        pace = []
        for each in coupons:
            aim = windows[each.exercise_id]
            if each.assessment and (speed := each.assessment.travel_speed_mm_s):
                pace.append(abs(math.log(2 * speed / (aim.low + aim.high))))
        return statistics.median(pace)

    assert spread(in_weeks(term, 1, 3)) > 1.4 * spread(in_weeks(term, 8, 11))


def test_predictions_come_nearer_to_the_grade(term: Term) -> None:
    def off(coupons: list[Coupon]) -> float:
        return statistics.mean(
            abs(each.predicted_level - each.grade.level)
            for each in coupons
            if each.grade and each.predicted_level
        )

    assert off(in_weeks(term, 1, 2)) > 1.2 * off(in_weeks(term, 8, 11))


def furthest(username: str) -> int:
    return max(
        Coupon.objects.filter(enrolment__user__username=username).values_list(
            "exercise__place", flat=True
        )
    )


@pytest.mark.usefixtures("term")
def test_one_student_is_stuck_and_one_is_far_ahead_in_each_section() -> None:
    for section in PEOPLE["sections"]:
        told = {each["story"]: each["username"] for each in section["students"] if "story" in each}
        assert furthest(told["ahead"]) == 12
        stuck = Coupon.objects.filter(enrolment__user__username=told["stuck"])
        last = list(stuck.exclude(grade=None).order_by("-number")[:6])
        assert {each.exercise.place for each in last} == {STUCK_AT[told["stuck"]]}
        assert sum(each.state == "returned" for each in last) >= 4


# --- the rows


@pytest.mark.usefixtures("term")
def test_references_hold_and_each_state_is_that_of_the_newest_grade() -> None:
    connection.check_constraints()
    graded = Coupon.objects.filter(state__in=["accepted", "returned"])
    assert not graded.exclude(state=F("grade__decision")).exists()
    assert not Coupon.objects.exclude(grade=None).exclude(grade__facts=F("facts")).exists()
    assert not Coupon.objects.exclude(assessment__facts=F("facts")).exists()


@pytest.mark.usefixtures("term")
def test_levels_follow_from_the_scores_by_the_rule_of_the_grading_page() -> None:
    for grade in Grade.objects.order_by("pk")[::41]:
        scores = {
            each.criterion.key: each.level
            for each in Score.objects.filter(grade=grade).select_related("criterion")
        }
        criteria = scoring.applying(grade.rubric_version.criteria.all(), grade.coupon.exercise)
        outcome = scoring.preview(scores, criteria)
        assert set(scores) == {each.key for each in criteria}
        assert outcome
        assert (outcome.level, outcome.weighted) == (grade.level, grade.weighted)


@pytest.mark.usefixtures("term")
def test_both_instructors_grade_and_sometimes_the_same_coupon() -> None:
    assert set(Grade.objects.values_list("grader__username", flat=True)) == {"ruta", "emeka"}
    twice = Coupon.objects.annotate(graders=Count("grades__grader", distinct=True)).filter(
        graders=2
    )
    assert twice.count() >= 20


@pytest.mark.usefixtures("term")
def test_some_graded_coupons_were_graded_blind_by_the_other_instructor_and_a_few_wait_for_it() -> (
    None
):
    share = SecondLook.objects.count() / Coupon.objects.exclude(grade=None).count()
    assert 0.07 < share < 0.13
    for section in Section.objects.all():
        given = second_looks.of_section(section).exclude(graded_at=None)
        assert not given.filter(Q(grader=F("grade__grader")) | Q(graded_at__lte=F("drawn_at")))
        assert all(
            second_looks.waiting_for(User.objects.get(username=each), section).exists()
            for each in ("ruta", "emeka")
        )
        overall, *criteria = agreeing.between_graders(section)
        found = overall.found
        assert found
        assert found.quadratic
        assert found.coupons >= FEW
        assert 0.2 < found.quadratic.value < 0.95
        assert len(criteria) >= 8
    assert any(second_looks.far_apart(section) for section in Section.objects.all())


@pytest.mark.usefixtures("term")
def test_what_was_typed_reads_as_what_is_stated() -> None:
    fields = {each.path: (each, each.make(False)) for each in MEMBERS}  # noqa: FBT003
    units = set()
    for facts in CouponFacts.objects.order_by("pk")[::29]:
        document = facts.document()
        for path, typed in facts.typed.items():
            member, field = fields[path]
            units.add(typed["unit"])
            read_back = field.clean([typed["text"], typed["unit"]])
            assert read_back.value == pytest.approx(member.value_in(document))
    assert {"in", "CFH", "mm", "s"} <= units


# --- the course plan


@pytest.mark.usefixtures("term")
def test_a_coupon_by_the_surest_hand_draws_no_stop_and_no_warning() -> None:
    exercises = list(Exercise.objects.prefetch_related("windows"))
    settings = SchoolSettings.objects.get()
    for task in tasks_of(exercises):
        at = datetime(2026, 11, 2, 9, 0, tzinfo=ZONE)
        log = log_coupon(task, Hand(1, 1), at, chance_of(task.exercise.title))
        said = review(read(log.document)).findings
        assert [each.rule.id for each in said if each.severity != "advise"] == []
    assert settings.units == "shop"


@pytest.mark.usefixtures("term")
def test_photos_share_the_pictures() -> None:
    stored = Counter(Photo.objects.values_list("file", flat=True))
    assert set(stored) <= {each.stored_name for each in PICTURES}
    assert stored.total() > 500
