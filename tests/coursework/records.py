"""Term records for tests: a mini term in the tables, and a record made of plain values."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from coursework.models import (
    Coupon,
    Enrolment,
    Exercise,
    IssuedRecord,
    IssuedSectionRecord,
    SignOff,
    User,
)
from coursework.record import (
    CheckTestLine,
    Comment,
    Correction,
    CouponLine,
    ExerciseLine,
    FigureSpread,
    Grader,
    Hours,
    Imperfections,
    InWindow,
    Issue,
    Prediction,
    Safety,
    SafetyKind,
    SafetyStop,
    Share,
    Spread,
    TermRecord,
    WeekShare,
)
from tests.factories import clean_document, grade_coupon, hand_in_coupon
from weldlog.engine.review import EDITION

# Six tee fillets, each 150 mm long, at 14 V and 135 A. What follows from them by hand is in
# test_record.py. Seconds, week, own level, level given, cleaned in order, imperfections seen.
MINI_TERM: tuple[tuple[float, int, int, int, bool, tuple[str, ...]], ...] = (
    (50, 1, 4, 2, False, ("2017", "104")),
    (30, 1, 3, 2, False, ("2017",)),
    (37.5, 2, 3, 3, True, ("2017",)),
    (25, 3, 2, 2, False, ()),
    (40, 3, 3, 3, True, ("2017",)),
    (60, 3, 4, 4, True, ()),
)
# Names, comments, metals and notes as nobody should write them.
HOSTILE = (
    "=cmd|' /C calc'!A0",
    "\u202eyrubnepO\u202c \u200fRTL",
    "W" * 300,
    "Ada \U0001f9d1\U0001f3fd\u200d\U0001f3ed \U0001f525",
    "<link rel=attachment href=file:///etc/passwd><script>alert(1)</script>{{ record }}",
)
FIRST_DAY = datetime(2026, 8, 24, 16, 0, tzinfo=UTC)


def log_mini_term(enrolment: Enrolment, exercise: Exercise, grader: User) -> list[Coupon]:
    """Hand in and grade the six coupons, withdraw a seventh, leave an eighth waiting."""
    coupons = [_log(enrolment, exercise, grader, *row) for row in MINI_TERM]
    late = FIRST_DAY + timedelta(weeks=3)
    withdrawn = hand_in_coupon(enrolment, exercise, at=late)
    Coupon.objects.filter(pk=withdrawn.pk).update(state=Coupon.State.WITHDRAWN)
    SignOff.objects.create(enrolment=enrolment, exercise=exercise, signed_by=grader, signed_at=late)
    unsaid = clean_document(exercise, current_a=None, cleaning=None, imperfections=None)
    return [*coupons, hand_in_coupon(enrolment, exercise, unsaid, at=late)]


def _log(
    enrolment: Enrolment,
    exercise: Exercise,
    grader: User,
    seconds: float,
    week: int,
    predicted: int,
    level: int,
    in_order: bool,
    seen: tuple[str, ...],
) -> Coupon:
    document = clean_document(exercise, arc_time_s=seconds)
    if not in_order:
        document["cleaning"] = document["cleaning"][::-1]
    document["imperfections"] = [{"number": number} for number in seen]
    at = FIRST_DAY + timedelta(weeks=week - 1, hours=enrolment.coupons.count())
    coupon = hand_in_coupon(enrolment, exercise, document, at=at, predicted_level=predicted)
    decision = "accepted" if level >= 3 else "returned"
    grade_coupon(coupon, grader, level=level, decision=decision, at=at + timedelta(days=1))
    return coupon


def tampered(issued: IssuedRecord | IssuedSectionRecord, master: str) -> None:
    """Put another master under an issue, past the triggers that refuse to edit one."""
    issued.delete()
    issued.master = master
    issued.save(force_insert=True)


def a_record(**changes: Any) -> TermRecord:
    """Return the issued record of a student with two exercises, made of plain values."""
    return replace(_RECORD, **changes)


_AT = datetime(2026, 11, 20, 17, 30, tzinfo=UTC)
_WEEKS = (WeekShare(1, 2, 1), WeekShare(3, 4, 2), WeekShare(5, 5, 3))
_TEE = ExerciseLine(
    place=1,
    title="Tee",
    process="GTAW",
    joint="tee",
    position="PB",
    metal="5052-H32",
    thickness_mm=3.2,
    filler="5356",
    state=4,
    logged=7,
    good=2,
    wanted=2,
    waiting=0,
    best_level=4,
    last_level=3,
    last_handed_in_at=_AT,
    signed_by="Odo Hale",
    signed_at=_AT,
    figures=(
        FigureSpread(
            name="travel_speed_mm_s",
            all=Spread(7, 4.0417, 1.28857),
            first_third=Spread(2, 4.0, 1.414214),
            last_third=Spread(2, 3.125, 0.883883),
            window_low=3.0,
            window_high=5.5,
            in_window=Share(5, 7),
        ),
    ),
)
_RECORD = TermRecord(
    schema_version=2,
    issue=Issue("7QK4-MB2X", 1, "Odo Hale", _AT),
    school="Tern Harbor Technical Institute",
    time_zone="America/Chicago",
    course_code="ALW 12",
    course_title="Aluminum Practice",
    section="A",
    term="Fall 2026",
    term_starts_on=date(2026, 8, 24),
    term_ends_on=date(2026, 11, 15),
    student="Ansa Quill",
    student_number="S00001",
    exercises=(
        _TEE,
        replace(
            _TEE,
            place=2,
            title="Lap",
            filler="",
            state=0,
            logged=0,
            good=0,
            best_level=None,
            last_level=None,
            last_handed_in_at=None,
            signed_by="",
            signed_at=None,
            figures=(),
        ),
    ),
    coupons=(
        CouponLine(3, _AT, "1 Tee", "5052-H32", "5356", 4.0, 0.4725, 0.2835, 0, 1, 3, "OH", _AT),
        CouponLine(6, _AT, "1 Tee", "5052-H32", "none", None, None, None, 1, 0, 4, "OH", _AT),
    ),
    in_window=(InWindow("travel_speed_mm_s", Share(9, 11), Share(1, 3), Share(3, 3), _WEEKS),),
    cleaning_in_order=_WEEKS,
    imperfections=Imperfections(3, 4, ()),
    prediction=Prediction(Share(3, 7), Share(6, 7), 0.5, _WEEKS),
    comments=(Comment(6, "1 Tee", _AT, "Odo Hale", "Even ripples."),),
    graders=(Grader("OH", "Odo Hale"),),
    rule_editions=(EDITION,),
    rubric_versions=("Practice coupon, version 1",),
    missing=("Not started: 2 Lap.",),
    withdrawn=1,
    safety=Safety(
        stops=(
            SafetyStop(2, "1 Tee", _AT, 1, "safety-acid-etch", "Do not do it here.", open=False),
        ),
        by_kind=(SafetyKind("safety-acid-etch", "Do not do it here.", 1, 0),),
        by_week=(WeekShare(1, 3, 1), WeekShare(0, 4, 2)),
        open=0,
    ),
    hours=Hours(5460.0, Share(6, 7), 4, 5, date(2026, 8, 24), date(2026, 11, 13)),
    check_tests=(
        CheckTestLine(
            coupon=6,
            exercise="1 Tee",
            kind="bend",
            passed=True,
            largest_opening_mm=1.5,
            note="One small opening.",
            tested_by="Odo Hale",
            tested_at=_AT,
        ),
    ),
    corrections=(
        Correction(
            about="Coupon 2",
            asked_on=date(2026, 9, 1),
            asked="The acid was not mine.",
            decision="declined",
            reason="Two people saw it.",
            statement="I only held the bottle.",
            stated_at=_AT,
        ),
    ),
    notice="Training record, not a welder qualification.",
)
