"""The term record: its numbers, its master text, and the page that previews it."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import jsonschema
import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries

from coursework import access
from coursework.models import Coupon, Enrolment, Exercise, User
from coursework.record import (
    ImperfectionFading,
    Imperfections,
    Share,
    TermRecord,
    WeekShare,
    fingerprint,
    from_master,
    to_master,
)
from coursework.record_making import term_record
from coursework.record_sheet import sheet
from tests.coursework.records import MINI_TERM, a_record, log_mini_term
from tests.factories import (
    ExerciseFactory,
    InstructorFactory,
    clean_document,
    grade_coupon,
    hand_in_coupon,
)
from weldlog.engine.review import EDITION

HERE = Path(__file__).parent
SCHEMAS = HERE.parent / "contract"
NAMED = ("Ansa Quill", 1)


def as_its_schema_says(master: str) -> None:
    """Fail unless a master is of the form that its version promises."""
    document = json.loads(master)
    schema = SCHEMAS / f"term_record_{document['schema_version']}.schema.json"
    jsonschema.validate(
        document,
        json.loads(schema.read_text(encoding="utf-8")),
        format_checker=jsonschema.FormatChecker(),
    )


@pytest.fixture
def mini(enrolment: Enrolment, exercise: Exercise, instructor: User) -> TermRecord:
    """The record of the mini term, as an instructor of the section would see it."""
    log_mini_term(enrolment, exercise, instructor)
    return term_record(access.enrolments(instructor).get(pk=enrolment.pk))


# --- golden numbers, worked out here from the mini term itself


def mean(values: list[float]) -> float:
    return sum(values) / len(values)


def sample_deviation(values: list[float]) -> float:
    return math.sqrt(sum((each - mean(values)) ** 2 for each in values) / (len(values) - 1))


# 150 mm over the seconds; arc energy is volts times amps over speed, heat input 0.6 of it for GTAW
# (TWI, FAQ: difference between heat input and arc energy; EN 1011-1 factors as given there).
SPEED = [150 / seconds for seconds, *_rest in MINI_TERM]
ENERGY = [14 * 135 / 1000 / speed for speed in SPEED]
HEAT = [0.6 * energy for energy in ENERGY]


@pytest.mark.parametrize(
    ("name", "values"),
    [("travel_speed_mm_s", SPEED), ("arc_energy_kj_mm", ENERGY), ("heat_input_kj_mm", HEAT)],
)
def test_figures_equal_a_separate_recomputation(
    mini: TermRecord, name: str, values: list[float]
) -> None:
    (figure,) = [each for each in mini.exercises[0].figures if each.name == name]
    # The waiting coupon has the same speed as a clean one (150 mm in 37.5 s) and no amps.
    values = [*values, 4.0] if name == "travel_speed_mm_s" else values
    assert figure.all.coupons == len(values)
    assert figure.all.mean == pytest.approx(mean(values), abs=1e-6)
    assert figure.all.standard_deviation == pytest.approx(sample_deviation(values), abs=1e-6)
    first, last = values[:2], values[-2:]
    assert figure.first_third
    assert figure.last_third
    assert figure.first_third.mean == pytest.approx(mean(first), abs=1e-6)
    assert figure.last_third.mean == pytest.approx(mean(last), abs=1e-6)
    # Two coupons to a third: too few to say how they spread.
    assert figure.first_third.standard_deviation is figure.last_third.standard_deviation is None


def test_golden_numbers_worked_out_by_hand(mini: TermRecord) -> None:
    """Speeds 3.0, 5.0, 4.0, 6.0, 3.75, 2.5 and 4.0 mm/s against a window from 3.0 to 5.5."""
    speed = mini.exercises[0].figures[2]
    assert speed.all.mean == 4.035714
    assert speed.in_window == Share(5, 7)
    # Heat inputs 0.378, 0.2268, 0.2835, 0.189, 0.3024, 0.4536 kJ/mm, window 0.15 to 0.4.
    assert mini.exercises[0].figures[1].in_window == Share(5, 6)
    (heat,) = [each for each in mini.in_window if each.name == "heat_input_kj_mm"]
    assert (heat.first_third, heat.last_third) == (Share(2, 2), Share(1, 2))
    assert heat.by_week == (WeekShare(2, 2, 1), WeekShare(1, 1, 2), WeekShare(2, 3, 3))


def test_thirds_of_three_coupons_or_more_have_a_spread(
    enrolment: Enrolment, exercise: Exercise
) -> None:
    seconds = [25, 50, 37.5, 30, 30, 30, 40, 37.5, 40]
    for each in seconds:
        hand_in_coupon(enrolment, exercise, clean_document(exercise, arc_time_s=each))
    speed = term_record(enrolment).exercises[0].figures[2]
    assert speed.first_third
    assert speed.last_third
    for third, logged in ((speed.first_third, seconds[:3]), (speed.last_third, seconds[-3:])):
        spread = sample_deviation([150 / each for each in logged])
        assert third.standard_deviation == pytest.approx(spread, abs=1e-6)


def test_a_slip_of_a_unit_is_left_out_of_the_figures_and_the_record_says_so(
    enrolment: Enrolment, exercise: Exercise, instructor: User
) -> None:
    log_mini_term(enrolment, exercise, instructor)
    before = term_record(enrolment)
    # 1250 s typed for 37.5: 0.12 mm/s, slower than any hand.
    slip = hand_in_coupon(enrolment, exercise, clean_document(exercise, arc_time_s=1250))
    assert slip.assessment
    assert slip.assessment.findings.filter(rule="entry-travel-speed", severity="stop").exists()
    after = term_record(enrolment)
    assert (before.left_out_of_figures, after.left_out_of_figures) == (0, 1)
    assert after.exercises[0].figures == before.exercises[0].figures
    assert after.in_window == before.in_window
    assert after.logged == before.logged + 1
    said = render_to_string("coursework/record_details.html", sheet(after))
    assert "1 coupon with an entry that can hardly be meant is left out" in " ".join(said.split())


def test_a_master_written_before_coupons_were_left_out_is_still_read() -> None:
    older = json.loads(to_master(a_record()))
    del older["left_out_of_figures"]
    assert from_master(json.dumps(older)) == a_record()


def test_a_master_of_version_1_is_still_read_and_printed() -> None:
    """The file holds what the first version of weldlog issued, as it lies in databases."""
    master = (HERE / "masters/term_record_1.json").read_text(encoding="utf-8")
    as_its_schema_says(master)
    record = from_master(master)
    assert (record.schema_version, record.student, record.left_out_of_figures) == (1, *NAMED)
    assert record.good_coupons == record.coupons
    assert (record.safety, record.hours, record.notice) == (None, None, "")
    said = render_to_string("coursework/record_sheet.html", sheet(record))
    assert "7QK4-MB2X" in said
    assert "Even ripples." in said


def test_an_exercise_says_tried_good_best_and_last(mini: TermRecord) -> None:
    line = mini.exercises[0]
    assert (line.logged, line.good, line.wanted, line.waiting) == (7, 3, 2, 1)
    assert (line.state, line.best_level, line.last_level) == (4, 4, 4)
    assert (line.signed_by, mini.competent, mini.logged, mini.good) == ("Odo Hale", 1, 7, 3)


def test_cleaning_in_order_is_counted_by_week_where_somebody_asked(mini: TermRecord) -> None:
    assert mini.cleaning_in_order == (
        WeekShare(0, 2, 1),
        WeekShare(1, 1, 2),
        WeekShare(2, 3, 3),
    )


def test_imperfections_are_counted_in_halves_and_named(mini: TermRecord) -> None:
    assert mini.imperfections == Imperfections(
        first_half_coupons=3,
        second_half_coupons=3,
        seen=(
            ImperfectionFading("2017", "Surface pore", 3, 1),
            ImperfectionFading("104", "Crater crack", 1, 0),
        ),
    )


def test_the_own_level_is_compared_with_the_grade(mini: TermRecord) -> None:
    """Two, one, none, none, none and none too hopeful."""
    assert mini.prediction.same == Share(4, 6)
    assert mini.prediction.within_one == Share(5, 6)
    assert mini.prediction.mean_difference == 0.5


def test_every_coupon_has_a_line_but_those_that_were_withdrawn(mini: TermRecord) -> None:
    assert [(each.number, each.state) for each in mini.coupons] == [
        (1, "returned"),
        (2, "returned"),
        (3, "accepted"),
        (4, "returned"),
        (5, "accepted"),
        (6, "accepted"),
        (8, "waiting"),
    ]
    assert mini.withdrawn == 1
    waiting = mini.coupons[-1]
    assert (waiting.level, waiting.graded_by, waiting.graded_at) == (None, "", None)
    assert [each.number for each in mini.good_coupons] == [3, 5, 6]
    last = mini.good_coupons[-1]
    assert (last.metal, last.filler, last.graded_by) == ("5052-H32", "5356", "OH")
    assert last.arc_energy_kj_mm == 0.756
    assert 7 not in {each.coupon for each in mini.comments}


def test_what_is_missing_is_said(mini: TermRecord) -> None:
    assert mini.missing == ("Coupon 8 waits for a grade.",)


def test_the_editions_and_versions_used_are_named(mini: TermRecord, exercise: Exercise) -> None:
    assert mini.rule_editions == (EDITION,)
    assert mini.rubric_versions == (f"{exercise.rubric.title}, version 1",)


def test_an_empty_term_is_a_record_too(enrolment: Enrolment, exercise: Exercise) -> None:
    record = term_record(enrolment)
    assert (record.coupons, record.exercises[0].figures, record.in_window) == ((), (), ())
    assert record.missing == (f"Not started: {exercise}.",)


def test_two_graders_never_share_initials(
    enrolment: Enrolment, exercise: Exercise, instructor: User
) -> None:
    namesake = InstructorFactory.create(
        school=instructor.school, first_name="Ola", last_name="Holm"
    )
    for grader in (instructor, namesake):
        grade_coupon(hand_in_coupon(enrolment, exercise), grader)
    assert {each.graded_by for each in term_record(enrolment).coupons} == {"OH", "OH2"}


@pytest.mark.parametrize("coupons", [1, 12])
def test_a_record_costs_thirteen_queries(
    enrolment: Enrolment,
    exercise: Exercise,
    instructor: User,
    coupons: int,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    for _ in range(coupons):
        grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    found = access.enrolments(instructor).get(pk=enrolment.pk)
    with django_assert_num_queries(13):
        term_record(found)


# --- the master


def test_the_master_is_as_its_schema_says(mini: TermRecord) -> None:
    for record in (mini, a_record()):
        as_its_schema_says(to_master(record))


def test_the_master_is_canonical_and_read_back_whole(mini: TermRecord) -> None:
    for record in (mini, a_record()):
        master = to_master(record)
        assert from_master(master) == record
        assert to_master(from_master(master)) == master
        assert master == json.dumps(
            json.loads(master), sort_keys=True, ensure_ascii=False, separators=(",", ":")
        )


@given(st.text(st.characters(codec="utf-8"), max_size=300), st.datetimes(), st.floats(0, 1e6))
def test_any_name_time_and_number_survives_the_master(name: str, at: datetime, mean: float) -> None:
    plain = a_record()
    line = replace(plain.coupons[0], handed_in_at=at.replace(tzinfo=UTC), travel_speed_mm_s=mean)
    record = replace(plain, student=name, coupons=(line,))
    assert from_master(to_master(record)) == record


def test_one_changed_letter_changes_the_fingerprint() -> None:
    assert fingerprint(to_master(a_record())) != fingerprint(to_master(a_record(section="B")))


# --- the page


def test_the_preview_says_what_is_missing_and_offers_to_issue(
    enrolment: Enrolment,
    exercise: Exercise,
    instructor: User,
    coordinator: User,
    client_of: Callable[[User], Client],
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    log_mini_term(enrolment, exercise, instructor)
    ExerciseFactory.create(plan=exercise.plan, title="Lap")
    address = reverse("coursework:record", args=[enrolment.pk])
    client = client_of(instructor)
    with django_assert_max_num_queries(19):
        text = client.get(address).content.decode()
    assert "Coupon 8 waits for a grade." in text
    assert "Not started: 2 Lap." in text
    assert "Issue the term record" in text
    assert "not a welder qualification" in text
    assert "Issue the term record" not in client_of(coordinator).get(address).content.decode()


def test_the_preview_is_for_the_staff_of_the_section(
    coupon: Coupon,
    student: User,
    classmate: User,
    other_instructor: User,
    client_of: Callable[[User], Client],
) -> None:
    address = reverse("coursework:record", args=[coupon.enrolment_id])
    for user, status in ((student, 403), (classmate, 404), (other_instructor, 404)):
        assert client_of(user).get(address).status_code == status
