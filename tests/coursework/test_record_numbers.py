"""Every figure of a term record, recomputed from what was typed; see ``golden_term``."""

import statistics
from datetime import date, datetime, timedelta

import pytest

from coursework import access
from coursework.models import CheckResult, Coupon, Enrolment, Exercise, SignOff, User
from coursework.record import ExerciseLine, Share, TermRecord
from coursework.record_making import term_record
from tests.coursework.golden_term import (
    ENERGY,
    HEAT,
    MINI,
    MONDAY,
    SPEED,
    VALUE,
    WINDOWS,
    K,
    Typed,
    close,
    energy,
    heat,
    inside,
    live,
    speed,
    tell,
    values,
    week,
    weekly,
)
from tests.factories import ExerciseFactory


@pytest.fixture
def exercises(exercise: Exercise) -> dict[str, Exercise]:
    """A tee in GTAW with windows for speed and heat input, a lap in GMAW with speed and energy."""
    exercise.windows.exclude(figure__in=WINDOWS["GTAW"]).delete()
    Exercise.objects.filter(pk=exercise.pk).update(good_coupons_wanted=3, check_test="break")
    exercise.refresh_from_db()
    lap = ExerciseFactory.create(
        plan=exercise.plan,
        title="Lap",
        process="GMAW",
        joint="lap",
        windows=WINDOWS["GMAW"],
        good_coupons_wanted=4,
        in_a_row_wanted=2,
    )
    return {"GTAW": exercise, "GMAW": lap}


@pytest.fixture
def coupons(enrolment: Enrolment, exercises: dict[str, Exercise], instructor: User) -> list[Coupon]:
    made = tell(enrolment, exercises, instructor, MINI)
    # The third coupon broke badly, was tested again on what was left, and passed.
    for number, passed in enumerate((False, True), start=1):
        CheckResult.objects.create(
            coupon=made[2],
            number=number,
            kind="break",
            passed=passed,
            largest_opening_mm=1.5,
            note="",
            tested_by=instructor,
            tested_at=MONDAY + timedelta(days=2, hours=number),
        )
    SignOff.objects.create(
        enrolment=enrolment,
        exercise=exercises["GTAW"],
        signed_by=instructor,
        signed_at=MONDAY + timedelta(days=25),
    )
    return made


@pytest.fixture
def record(coupons: list[Coupon], enrolment: Enrolment, instructor: User) -> TermRecord:
    return term_record(access.enrolments(instructor).get(pk=enrolment.pk))


def of(process: str) -> list[Typed]:
    return [each for _n, each in live(MINI) if each.process == process]


def line_of(record: TermRecord, process: str) -> ExerciseLine:
    return next(each for each in record.exercises if each.process == process)


@pytest.mark.parametrize("process", ["GTAW", "GMAW"])
@pytest.mark.parametrize("name", [SPEED, ENERGY, HEAT])
def test_each_figure_of_each_exercise(record: TermRecord, process: str, name: str) -> None:
    (figure,) = [each for each in line_of(record, process).figures if each.name == name]
    numbers = values(name, of(process))
    close(figure.all, numbers)
    third = len(numbers) // 3
    if len(numbers) >= 6:
        close(figure.first_third, numbers[:third])
        close(figure.last_third, numbers[-third:])
    else:
        assert figure.first_third is figure.last_third is None
    window = WINDOWS[process].get(name)
    assert (figure.window_low, figure.window_high) == (window or (None, None))
    assert figure.in_window == (inside(numbers, *window) if window else None)


def test_by_hand() -> None:
    """So that the recomputation itself is held: one coupon of each process on paper.

    GTAW: 150 mm in 50 s are 3 mm/s; 14 V x 135 A = 1890 W; 1890 / 3000 = 0.63 kJ/mm; 0.6 of it is
    0.378. GMAW: 200 mm in 25 s are 8 mm/s; 20 V x 130 A = 2600 W; 2600 / 8000 = 0.325 kJ/mm; 0.8 of
    it is 0.26.
    """
    assert speed(MINI[0]) == 3
    assert energy(MINI[0]) == pytest.approx(0.63)
    assert heat(MINI[0]) == pytest.approx(0.378)
    assert speed(MINI[11]) == 8
    assert energy(MINI[11]) == pytest.approx(0.325)
    assert heat(MINI[11]) == pytest.approx(0.26)


@pytest.mark.parametrize("name", [SPEED, ENERGY, HEAT])
def test_windows_over_the_whole_term(record: TermRecord, name: str) -> None:
    answers = [
        (each, window[0] <= value <= window[1])
        for _n, each in live(MINI)
        if not each.nonsense
        and (window := WINDOWS[each.process].get(name))
        and (value := VALUE[name](each)) is not None
    ]
    (found,) = [each for each in record.in_window if each.name == name]
    yes = [each for _typed, each in answers]
    third = len(yes) // 3
    assert found.all == Share(sum(yes), len(yes))
    assert found.first_third == Share(sum(yes[:third]), third)
    assert found.last_third == Share(sum(yes[len(yes) - third :]), third)
    assert found.by_week == weekly(answers)


@pytest.mark.parametrize("process", ["GTAW", "GMAW"])
def test_the_counts_of_each_exercise(record: TermRecord, process: str) -> None:
    line, own = line_of(record, process), of(process)
    fates = [each.fate for each in own]
    given = [each.levels[-1] for each in own if each.fate in {"accepted", "returned"}]
    assert line.logged == len(own)
    assert line.good == fates.count("accepted")
    assert line.returned == fates.count("returned")
    assert line.waiting == fates.count("waiting") + fates.count("held")
    assert (line.best_level, line.last_level) == (max(given), given[-1])
    assert line.last_handed_in_at == max(coupon_at(n) for n, each in live(MINI) if each in own)
    unsafe = [each for each in own if each.cleaned == "unsafe"]
    assert line.safety_open == sum(each.fate in {"waiting", "held"} for each in unsafe)


def coupon_at(number: int) -> datetime:
    return MONDAY + timedelta(days=MINI[number - 1].day, minutes=number - 1)


def test_states_rows_and_tests(record: TermRecord) -> None:
    """The tee has its good coupons, test and signature, but a safety stop is open; of the lap
    three of four good ones are there, the last three graded ones in a row."""
    tee, lap = line_of(record, "GTAW"), line_of(record, "GMAW")
    assert (tee.check_test, tee.tested, tee.in_a_row) == ("break", True, None)
    assert (tee.state, tee.signed_by) == (3, "Odo Hale")
    assert (lap.check_test, lap.tested, lap.in_a_row_wanted, lap.in_a_row) == ("", False, 2, 3)
    assert (lap.state, record.competent) == (3, 0)
    assert [(each.coupon, each.passed) for each in record.check_tests] == [(3, False), (3, True)]


def test_every_coupon_has_its_line(record: TermRecord) -> None:
    assert [each.number for each in record.coupons] == [number for number, _typed in live(MINI)]
    assert record.withdrawn == 1
    for line in record.coupons:
        typed = MINI[line.number - 1]
        graded = typed.fate in {"accepted", "returned"}
        assert line.state == (typed.fate if graded else "waiting")
        assert line.level == (typed.levels[-1] if graded else None)
        assert line.earlier_levels == (typed.levels[:-1] if graded else ())
        assert (line.graded_by, line.predicted_level) == ("OH" if graded else "", typed.own)
        assert line.handed_in_at == coupon_at(line.number)
        for name, value in VALUE.items():
            expected = value(typed)
            assert getattr(line, name) == (
                None if expected is None else pytest.approx(expected, abs=1e-6)
            )
        assert line.thermal_efficiency == K[typed.process]
        told = None if typed.seconds is None else pytest.approx(typed.seconds * typed.runs)
        assert line.arc_time_s == told
        assert line.in_figures is not typed.nonsense
        assert line.safety_stops == (typed.cleaned == "unsafe")
        assert line.imperfections == (typed.seen or ())


def test_hours_and_days(record: TermRecord) -> None:
    own = [each for _n, each in live(MINI)]
    told = [
        each.seconds * each.runs for each in own if each.seconds is not None and not each.nonsense
    ]
    days = {date(2026, 8, 24) + timedelta(days=each.day) for each in own}
    assert record.hours
    assert record.hours.arc_time_s == pytest.approx(sum(told))
    assert record.hours.coupons == Share(len(told), len(own))
    assert (record.hours.days, record.hours.first_day) == (len(days), min(days))
    assert record.hours.last_day == max(days)
    # 50 + 30 + 38 + 2 x 25 + 40 + 60 + 42 + 36 + 41 = 387 in GTAW, 25 + 3 x 21.5 + 22 =
    # 111.5 in GMAW; 498.5 s are 8 min.
    assert record.hours.arc_time_s == pytest.approx(387 + 111.5)
    assert record.hours.arc_time_h_min == (0, 8)
    by_exercise = [each.arc_time_s for each in record.exercises]
    assert by_exercise == [pytest.approx(387), pytest.approx(111.5)]
    assert record.left_out_of_figures == sum(each.nonsense for each in own)


def test_safety(record: TermRecord) -> None:
    unsafe = [(n, each) for n, each in live(MINI) if each.cleaned == "unsafe"]
    assert record.safety
    assert [(each.coupon, each.week, each.open) for each in record.safety.stops] == [
        (n, week(each), each.fate in {"waiting", "held"}) for n, each in unsafe
    ]
    (kind,) = record.safety.by_kind
    assert (kind.rule, kind.stops, kind.open) == ("safety-chlorinated-solvent", 2, 1)
    assert "phosgene" in kind.says
    assert record.safety.by_week == weekly(
        [(each, each.cleaned == "unsafe") for _n, each in live(MINI)]
    )
    assert record.safety.open == 1


def test_cleaning_in_order(record: TermRecord) -> None:
    asked = [each for _n, each in live(MINI) if each.cleaned != "not asked"]
    assert record.cleaning_in_order == weekly(
        [(each, each.cleaned == "in order") for each in asked]
    )


def test_imperfections_in_halves(record: TermRecord) -> None:
    looked_at = [each.seen for _n, each in live(MINI) if each.seen is not None]
    half = len(looked_at) // 2
    found = {each.number: (each.first_half, each.second_half) for each in record.imperfections.seen}
    numbers = {number for seen in looked_at for number in seen}
    assert found == {
        number: (
            sum(number in seen for seen in looked_at[:half]),
            sum(number in seen for seen in looked_at[half:]),
        )
        for number in numbers
    }
    assert record.imperfections.first_half_coupons == half
    assert record.imperfections.second_half_coupons == len(looked_at) - half


def test_the_own_level_against_the_grade(record: TermRecord) -> None:
    both = [
        (each, each.own - each.levels[-1])
        for _n, each in live(MINI)
        if each.own is not None and each.fate in {"accepted", "returned"}
    ]
    off = [difference for _each, difference in both]
    assert record.prediction.same == Share(off.count(0), len(off))
    assert record.prediction.within_one == Share(sum(abs(d) < 2 for d in off), len(off))
    assert record.prediction.mean_difference == pytest.approx(statistics.mean(off), abs=1e-6)
    assert record.prediction.by_week == weekly([(each, abs(d) < 2) for each, d in both])


def test_nothing_of_a_held_grade_is_in_the_record(record: TermRecord) -> None:
    assert "Nobody knows of this yet." not in {each.text for each in record.comments}
    assert len(record.comments) == sum(each.fate in {"accepted", "returned"} for each in MINI)


def test_classmates_have_numbers_of_their_own(
    record: TermRecord,
    coupons: list[Coupon],
    classmate: User,
    exercises: dict[str, Exercise],
    enrolment: Enrolment,
    instructor: User,
) -> None:
    """What another student of the section logs changes nothing in this record."""
    tell(classmate.enrolments.get(), exercises, instructor, MINI[:3])
    found = access.enrolments(instructor).get(pk=enrolment.pk)
    assert term_record(found) == record
    other = term_record(access.enrolments(instructor).get(user=classmate))
    assert (other.logged, other.good) == (3, 1)
