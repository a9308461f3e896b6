"""A section at a glance."""

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from coursework.joining import spaced_code
from coursework.models import Coupon, Enrolment, Exercise, SchoolSettings, Section, User
from coursework.models.facts import Document
from tests.factories import (
    MOMENT,
    EnrolmentFactory,
    ExerciseFactory,
    clean_document,
    grade_coupon,
    hand_in_coupon,
)

type ClientOf = Callable[[User], Client]

THIRD_WEEK = datetime(2026, 9, 9, 15, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _today() -> object:
    """Let it be week 4 of the term, the day of MOMENT."""
    with time_machine.travel(MOMENT, tick=False):
        yield


def address(section: Section) -> str:
    return reverse("coursework:section", args=[section.pk])


def body(client: Client, section: Section) -> str:
    """Return the page with its white space made plain."""
    return " ".join(client.get(address(section)).content.decode().split())


def unsafe(exercise: Exercise) -> Document:
    brake_cleaner = [{"step": "degrease", "agent": "chlorinated", "tool": "shop_rag"}]
    return clean_document(exercise, cleaning=brake_cleaner)


def chart(text: str, title: str) -> str:
    """Return the spoken sentence of a chart."""
    found = re.search(rf"<title>{title}</title> <desc>([^<]*)</desc>", text)
    assert found, title
    return found[1]


def test_every_student_has_a_cell_for_every_exercise_and_its_state(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    classmate: User,
    exercise: Exercise,
) -> None:
    second = ExerciseFactory.create(plan=exercise.plan, title="Lap")
    for _each in range(2):
        grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    hand_in_coupon(enrolment, second)
    text = body(client_of(instructor), enrolment.section)
    cells = re.findall(r"<td role=\"cell\"[^>]*><a .*?</td>", text)
    assert len(cells) == 2 * 2
    spoken = [re.sub(r"<[^>]+>", "", each).strip() for each in cells]
    assert spoken[0].startswith("3, 1 Tee: nearly there")
    assert spoken[1].startswith("1, 2 Lap: started, waiting for a grade")
    assert [each[0] for each in spoken[2:]] == ["0", "0"]
    assert str(classmate.last_name) in text
    student = reverse("coursework:student", args=[enrolment.pk])
    assert f'href="{student}#exercise-2"' in text


def test_the_head_says_the_week_and_the_counts(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    hand_in_coupon(enrolment, exercise)
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    text = body(client_of(instructor), enrolment.section)
    assert "week 4" in text
    assert "1 student, 2 coupons, 1 waiting for a grade." in text


@pytest.mark.postgres
def test_a_safety_stop_stands_before_everything_else_until_the_coupon_is_graded(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    coupon = hand_in_coupon(enrolment, exercise, unsafe(exercise))
    browser = client_of(instructor)
    text = body(browser, enrolment.section)
    assert text.index("Safety stop:") < text.index("Where everyone is")
    assert reverse("coursework:grade", args=[coupon.public_id]) in text
    grade_coupon(coupon, instructor, level=1, decision="returned")
    assert "Safety stop:" not in body(browser, enrolment.section)


@pytest.mark.postgres
def test_cleaning_and_imperfections_are_counted_by_the_week_of_the_coupon(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    pores = [{"number": "2017", "at_mm": 20.0}, {"number": "2017", "at_mm": 90.0}]
    not_cleaned = clean_document(exercise, cleaning=[], imperfections=pores)
    undercut = clean_document(exercise, imperfections=[{"number": "5011"}])
    hand_in_coupon(enrolment, exercise, not_cleaned, at=THIRD_WEEK)
    hand_in_coupon(enrolment, exercise, undercut, at=THIRD_WEEK)
    hand_in_coupon(enrolment, exercise, clean_document(exercise, imperfections=pores), at=MOMENT)
    withdrawn = hand_in_coupon(enrolment, exercise, not_cleaned, at=MOMENT)
    Coupon.objects.filter(pk=withdrawn.pk).update(state=Coupon.State.WITHDRAWN)
    text = body(client_of(instructor), enrolment.section)
    assert (
        chart(text, "Coupons with a cleaning step skipped or swapped") == "1: 0, 2: 0, 3: 1, 4: 0"
    )
    assert chart(text, "Coupons with surface pore") == "1: 0, 2: 0, 3: 1, 4: 1"
    assert text.index("Coupons with surface pore") < text.index("Coupons with undercut")


@pytest.mark.postgres
def test_a_day_is_counted_by_the_clock_of_the_school(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    # Monday 03:00 UTC is still Sunday, and the week before, in Chicago.
    monday = datetime(2026, 9, 14, 3, 0, tzinfo=UTC)
    hand_in_coupon(enrolment, exercise, clean_document(exercise, cleaning=[]), at=monday)
    text = body(client_of(instructor), enrolment.section)
    assert (
        chart(text, "Coupons with a cleaning step skipped or swapped") == "1: 0, 2: 0, 3: 1, 4: 0"
    )


def returned(
    enrolment: Enrolment, exercise: Exercise, instructor: User, number: int, **changes: Any
) -> None:
    for _each in range(number):
        coupon = hand_in_coupon(enrolment, exercise, clean_document(exercise, **changes))
        grade_coupon(coupon, instructor, level=2, decision="returned")


@pytest.mark.postgres
def test_who_is_stuck_stands_with_the_reasons_and_the_cell_is_marked(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
) -> None:
    with time_machine.travel(MOMENT - timedelta(days=2), tick=False):
        busy = EnrolmentFactory.create(section=enrolment.section, joined_at=MOMENT)
    returned(enrolment, exercise, instructor, 3, imperfections=[{"number": "5011"}])
    hand_in_coupon(busy, exercise)
    text = body(client_of(instructor), enrolment.section)
    stuck = text[text.index('id="stuck"') : text.index('id="everyone"')]
    assert "Ansa Quill" in stuck
    assert "3 coupons returned in a row. Undercut" in stuck
    assert str(busy.user) not in stuck
    assert "1 Tee: started, stuck" in text


def test_who_is_silent_while_an_exercise_is_due_is_stuck_until_the_term_ends(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    said = "No coupon this week or in the 2 before; this was due in week 4."
    hand_in_coupon(enrolment, exercise)
    for day, is_stuck in ((7, False), (14, False), (21, True), (90, False)):
        with time_machine.travel(MOMENT + timedelta(days=day), tick=False):
            text = body(client_of(instructor), enrolment.section)
            assert (said in text) is is_stuck, day


def test_an_exercise_whose_rules_are_met_holds_nobody_up(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    for _each in range(2):
        grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    returned(enrolment, exercise, instructor, 3)
    assert "Nobody, by the rules below." in body(client_of(instructor), enrolment.section)


def test_what_wants_no_more_than_a_signature_is_listed_until_it_is_signed(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    client = client_of(instructor)
    assert "To be signed off" not in body(client, enrolment.section)
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    listed = body(client, enrolment.section).partition("To be signed off")[2].partition("</ul>")[0]
    student = reverse("coursework:student", args=[enrolment.pk])
    assert f'<b>Ansa Quill</b><p class="sub"><a href="{student}#exercise-1">1 Tee</a></p>' in listed
    client.post(reverse("coursework:sign_off", args=[enrolment.pk, exercise.pk]))
    assert "To be signed off" not in body(client, enrolment.section)


@pytest.mark.parametrize(
    ("units", "unit", "median", "half"),
    [("metric", "kJ/mm", "0.28", "0.26 to 0.33"), ("shop", "kJ/in", "7.2", "6.5 to 8.4")],
)
def test_heat_inputs_and_speeds_are_drawn_with_the_same_numbers_as_a_table(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
    units: str,
    unit: str,
    median: str,
    half: str,
) -> None:
    SchoolSettings.objects.update(units=units)
    for seconds in (30, 37.5, 50):
        hand_in_coupon(enrolment, exercise, clean_document(exercise, arc_time_s=seconds))
    text = body(client_of(instructor), enrolment.section)
    # 150 mm at 135 A, 14 V and k = 0.6 (EN 1011-1): 0.227, 0.284 and 0.378 kJ/mm; 25.4 mm an inch.
    assert chart(text, f"Heat input of each exercise, {unit}") == f"1 Tee: {median}"
    assert f'<td role="cell" data-name="Middle half">{half}</td>' in text
    # 5, 4 and 3 mm/s: standard deviation 1 over mean 4.
    assert chart(text, "Steadiness of travel speed, each student") == "Ansa Quill: 25 %"
    assert '<rect class="lane"' in text


def test_those_who_left_are_in_no_row(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, coupon: Coupon
) -> None:
    Enrolment.objects.filter(pk=enrolment.pk).update(left_at=MOMENT)
    assert "Quill, Ansa" not in body(client_of(instructor), enrolment.section)


def test_a_section_without_students_says_how_they_join(
    client_of: ClientOf, instructor: User, section: Section
) -> None:
    text = body(client_of(instructor), section)
    assert "Import a class list" in text
    assert f"type the code {spaced_code(section.join_code)}" in text
    assert "By week" not in text


def test_a_section_is_seen_by_those_who_teach_or_coordinate_it(
    client_of: ClientOf,
    instructor: User,
    coordinator: User,
    other_instructor: User,
    student: User,
    stranger: User,
    coupon: Coupon,
) -> None:
    people = {
        instructor: 200,
        coordinator: 200,
        other_instructor: 404,
        student: 403,
        stranger: 404,
    }
    for person, status in people.items():
        assert client_of(person).get(address(coupon.section)).status_code == status, person


def test_the_page_costs_at_most_12_queries_whatever_the_size(
    client_of: ClientOf,
    instructor: User,
    section: Section,
    exercise: Exercise,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    browser = client_of(instructor)
    for students, coupons in ((1, 1), (6, 4)):
        for _student in range(students):
            enrolment = EnrolmentFactory.create(section=section)
            for day in range(coupons):
                document = clean_document(exercise, imperfections=[{"number": "2017"}])
                at = MOMENT - timedelta(days=day)
                hand_in_coupon(enrolment, exercise, document, at=at)
                hand_in_coupon(enrolment, exercise, unsafe(exercise), at=at)
        with django_assert_max_num_queries(12):
            assert browser.get(address(section)).status_code == 200
        ExerciseFactory.create_batch(3, plan=exercise.plan)
