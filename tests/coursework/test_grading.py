"""From scores to a level, worked out by hand; grades that are added, the queue, signing off.

The rubric and its weights are common practice, no source (as its own row says): what is checked
is the arithmetic, by hand. Two graders at once are the matter of ``test_two_graders.py``.
"""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db.models import F
from hypothesis import given
from hypothesis import strategies as st

from coursework import grading, queue, scoring, sign_offs
from coursework.conflicts import StaleCoupon
from coursework.models import Coupon, Criterion, Enrolment, Exercise, Grade, Score, SignOff, User
from tests.factories import (
    MOMENT,
    clean_document,
    grade_coupon,
    hand_in_coupon,
)

SAFETY = Criterion(key="safety", title="Safety", gate=True)
PREPARATION = Criterion(key="preparation", title="Preparation", weight=Decimal(20))
SET_UP = Criterion(key="set-up", title="Set-up", weight=Decimal(10))
TECHNIQUE = Criterion(key="technique", title="Technique", weight=Decimal(15))
SHAPE = Criterion(key="shape", title="Weld size and shape", weight=Decimal(15))
SOUNDNESS = Criterion(key="soundness", title="Visual soundness", weight=Decimal(20))
BREAK = Criterion(key="break", title="Break test", weight=Decimal(15), check_test=True)
LOG = Criterion(key="log", title="Log", weight=Decimal(5))
RUBRIC = [SAFETY, PREPARATION, SET_UP, TECHNIQUE, SHAPE, SOUNDNESS, BREAK, LOG]
WEIGHED = [each.key for each in RUBRIC if not each.gate]

levels = st.integers(1, 4)
full_scores = st.fixed_dictionaries({each.key: levels for each in RUBRIC})


def scores(*given: int) -> dict[str, int]:
    return dict(zip((each.key for each in RUBRIC), given, strict=True))


@pytest.mark.parametrize(
    ("given", "weighted", "level"),
    [
        # 20*2 + 10*3 + 15*2 + 15*3 + 20*1 + 15*3 + 5*4 = 230 of 100
        (scores(3, 2, 3, 2, 3, 1, 3, 4), "2.30", 2),
        # 20*3 + 10*3 + 15*2 + 15*2 + 20*3 + 15*2 + 5*2 = 250: halves go up
        (scores(3, 3, 3, 2, 2, 3, 2, 2), "2.50", 3),
        # 20*3 + 10*3 + 15*2 + 15*2 + 20*3 + 15*2 + 5*1 = 245
        (scores(3, 3, 3, 2, 2, 3, 2, 1), "2.45", 2),
        # 20*4 + 10*4 + 15*4 + 15*4 + 20*3 + 15*3 + 5*1 = 350
        (scores(3, 4, 4, 4, 4, 3, 3, 1), "3.50", 4),
    ],
)
def test_the_level_is_the_weighted_mean_rounded_halves_up(
    given: dict[str, int], weighted: str, level: int
) -> None:
    assert scoring.preview(given, RUBRIC) == scoring.Outcome(Decimal(weighted), level)


def test_weights_of_what_is_scored_count_as_if_they_made_up_100() -> None:
    # Without the break test 85 are left: (20*4 + 65*2) / 85 = 210 / 85 = 2.4706
    given = scores(3, 4, 2, 2, 2, 2, 1, 2)
    without = [each for each in RUBRIC if each is not BREAK]
    assert scoring.weighted_level(given, without) == Decimal("2.47")


@pytest.mark.parametrize(
    ("check_test", "is_scored"),
    [("", False), ("visual", False), ("break", True), ("bend", True), ("macro", True)],
)
def test_a_criterion_of_the_check_test_applies_where_one_is_asked_for(
    check_test: str, is_scored: bool
) -> None:
    applying = scoring.applying(RUBRIC, Exercise(check_test=check_test))
    assert (BREAK in applying) is is_scored
    assert [each for each in applying if each is not BREAK] == [r for r in RUBRIC if r is not BREAK]


@given(full_scores)
def test_a_gate_that_is_not_kept_ends_at_one_whatever_else_was_scored(
    given: dict[str, int],
) -> None:
    outcome = scoring.preview(given | {"safety": 1}, RUBRIC)
    assert outcome is not None
    assert (outcome.level, outcome.capped_by) == (1, "Safety")
    assert not outcome.passes


@given(full_scores, st.sampled_from(RUBRIC))
def test_a_better_score_never_makes_a_worse_level(
    given: dict[str, int], criterion: Criterion
) -> None:
    better = given | {criterion.key: min(given[criterion.key] + 1, 4)}
    before, after = scoring.preview(given, RUBRIC), scoring.preview(better, RUBRIC)
    assert before is not None
    assert after is not None
    assert after.weighted >= before.weighted
    assert after.level >= before.level


@given(full_scores)
def test_the_weighted_level_lies_between_the_lowest_and_the_highest_score(
    given: dict[str, int],
) -> None:
    scored = [given[key] for key in WEIGHED]
    assert min(scored) <= scoring.weighted_level(given, RUBRIC) <= max(scored)


@given(levels)
def test_the_same_score_everywhere_is_the_level(level: int) -> None:
    outcome = scoring.preview(dict.fromkeys(WEIGHED, level), RUBRIC)
    assert outcome == scoring.Outcome(Decimal(level), level)


def test_nothing_scored_is_no_level_and_not_a_zero() -> None:
    assert scoring.preview({}, RUBRIC) is None
    assert scoring.preview({"safety": 3}, RUBRIC) is None
    with pytest.raises(ValueError, match="weight"):
        scoring.weighted_level({}, RUBRIC)


# --- a coupon and its grades


def give(coupon: Coupon, grader: User, level: int = 3, **changes: object) -> Grade:
    """Grade a coupon with one level everywhere, based on the version in hand."""
    version = coupon.exercise.rubric.current()
    applying = scoring.applying(version.criteria.all(), coupon.exercise)
    wanted: dict[str, object] = {
        "based_on": coupon.version,
        "grader": grader,
        "rubric_version": version,
        "scores": {each.key: level for each in applying},
        "decision": "accepted" if level >= scoring.PASSES else "returned",
        "at": MOMENT,
    }
    return grading.grade_coupon(coupon, **(wanted | changes))  # type: ignore[arg-type]


def test_a_grade_names_the_facts_and_the_rubric_and_keeps_every_score(
    coupon: Coupon, instructor: User
) -> None:
    grade = give(coupon, instructor, comment="Even.")
    coupon.refresh_from_db()
    assert (coupon.state, coupon.version, coupon.grade) == (Coupon.State.ACCEPTED, 2, grade)
    assert grade.facts == coupon.facts
    assert (grade.number, grade.weighted, grade.level) == (1, Decimal(3), 3)
    assert {each.level for each in Score.objects.filter(grade=grade)} == {3}


def test_grading_again_adds_a_row_and_keeps_the_first(coupon: Coupon, instructor: User) -> None:
    first = give(coupon, instructor, level=4)
    second = give(coupon, instructor, level=2, reason="The root was not fused.")
    coupon.refresh_from_db()
    assert coupon.grade == second
    assert coupon.state == Coupon.State.RETURNED
    assert list(coupon.grades.values_list("number", "level")) == [(1, 4), (2, 2)]
    first.refresh_from_db()
    assert first.scores.count() == second.scores.count()


def test_grading_again_without_a_reason_changes_nothing(coupon: Coupon, instructor: User) -> None:
    give(coupon, instructor, level=4)
    with pytest.raises(ValueError, match="reason"):
        give(coupon, instructor, level=2)
    coupon.refresh_from_db()
    assert (coupon.state, coupon.version, coupon.grades.count()) == ("accepted", 2, 1)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"decision": "accepted", "level": 2}, "does not pass"),
        ({"scores": {"safety": 3, "sound": 3}}, "No level yet: Preparation"),
    ],
)
def test_what_is_no_grade_is_not_stored(
    coupon: Coupon, instructor: User, changes: dict[str, object], words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        give(coupon, instructor, **changes)  # type: ignore[arg-type]
    assert not Grade.objects.exists()


@pytest.mark.parametrize(
    "meanwhile", [{"version": F("version") + 1}, {"state": Coupon.State.WITHDRAWN}]
)
def test_what_changed_meanwhile_is_not_graded(
    coupon: Coupon, instructor: User, meanwhile: dict[str, object]
) -> None:
    Coupon.objects.update(**meanwhile)
    with pytest.raises(StaleCoupon):
        give(coupon, instructor)
    assert not Grade.objects.exists()


# --- the queue, and signing off


@pytest.mark.postgres
def test_the_queue_is_safety_stops_first_then_by_age(
    enrolment: Enrolment, exercise: Exercise, instructor: User
) -> None:
    brake_cleaner = [{"step": "degrease", "agent": "chlorinated", "tool": "shop_rag"}]
    unsafe = clean_document(exercise, cleaning=brake_cleaner)
    older, newer = (
        hand_in_coupon(enrolment, exercise, at=MOMENT + timedelta(hours=hour)) for hour in (1, 2)
    )
    graded = hand_in_coupon(enrolment, exercise, at=MOMENT)
    grade_coupon(graded, instructor)
    stopped = hand_in_coupon(enrolment, exercise, unsafe, at=MOMENT + timedelta(hours=3))
    twin = hand_in_coupon(enrolment, exercise, at=MOMENT + timedelta(hours=2))
    waiting = list(queue.waiting(Coupon.objects.all()))
    assert waiting == [stopped, older, newer, twin]
    assert list(queue.open_safety_stops(Coupon.objects.all())) == [stopped]


def test_an_exercise_is_signed_off_once_its_good_coupons_are_there(
    enrolment: Enrolment, exercise: Exercise, instructor: User
) -> None:
    def sign() -> SignOff:
        return sign_offs.sign_off(enrolment, exercise, by=instructor, at=MOMENT)

    for _each in range(exercise.good_coupons_wanted):
        with pytest.raises(sign_offs.NotReady, match="more good coupon"):
            sign()
        grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    assert sign() == sign()
    assert SignOff.objects.get().signed_by == instructor
