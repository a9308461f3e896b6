"""A student changes section, and everything that was done comes along."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coursework import moving
from coursework.issuing import issue
from coursework.models import (
    Coupon,
    Enrolment,
    Exercise,
    Grade,
    IssuedRecord,
    Section,
    SectionMove,
    SignOff,
    User,
)
from coursework.progress import states_of
from coursework.record import to_master
from coursework.record_making import term_record
from tests.factories import (
    MOMENT,
    CoursePlanFactory,
    EnrolmentFactory,
    SectionFactory,
    TermFactory,
    grade_coupon,
    hand_in_coupon,
)

pytestmark = pytest.mark.django_db


def counts(enrolment: Enrolment) -> list[tuple[Any, ...]]:
    """Return what is counted of a student, exercise by exercise."""
    here = Enrolment.objects.select_related("section").get(pk=enrolment.pk)
    return [
        (each.exercise.pk, each.logged, each.good, each.waiting, each.in_a_row, each.state)
        for each in states_of(here)
    ]


@given(story=st.lists(st.sampled_from(["waits", "accepted", "returned", "withdrawn"]), max_size=6))
@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_every_count_stays_whatever_was_logged(
    enrolment: Enrolment,
    exercise: Exercise,
    other_section: Section,
    section: Section,
    instructor: User,
    coordinator: User,
    story: list[str],
) -> None:
    for each in story:
        coupon = hand_in_coupon(enrolment, exercise)
        if each == "withdrawn":
            Coupon.objects.filter(pk=coupon.pk).update(state=each)
        elif each != "waits":
            grade_coupon(coupon, instructor, decision=each)
    before = counts(enrolment)
    here, there = section, other_section
    if Enrolment.objects.get(pk=enrolment.pk).section_id == other_section.pk:
        here, there = other_section, section
    moving.move(enrolment, there, by=coordinator, reason="", at=MOMENT)
    assert counts(enrolment) == before
    assert not Coupon.objects.filter(section=here).exists()
    assert Coupon.objects.filter(section=there).count() == Coupon.objects.count()


def test_sign_offs_grades_and_records_stay(
    enrolment: Enrolment,
    exercise: Exercise,
    other_section: Section,
    instructor: User,
    coordinator: User,
) -> None:
    for _time in range(2):
        grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    SignOff.objects.create(
        enrolment=enrolment, exercise=exercise, signed_by=instructor, signed_at=MOMENT
    )
    issued = issue(enrolment, instructor, MOMENT, after_issue=0)
    kept = (list(Grade.objects.values()), list(SignOff.objects.values()))
    before = to_master(term_record(Enrolment.objects.get(pk=enrolment.pk)))
    moving.move(enrolment, other_section, by=coordinator, reason="Works days now.", at=MOMENT)
    assert (list(Grade.objects.values()), list(SignOff.objects.values())) == kept
    assert IssuedRecord.objects.get(pk=issued.pk).master == issued.master
    after = to_master(term_record(Enrolment.objects.get(pk=enrolment.pk)))
    assert after == before.replace('"section":"A"', '"section":"B"')


def test_both_sections_show_it_and_the_old_instructor_no_longer(
    client_of: Callable[[User], Client],
    enrolment: Enrolment,
    student: User,
    coupon: Coupon,
    section: Section,
    other_section: Section,
    instructor: User,
    other_instructor: User,
    coordinator: User,
) -> None:
    typed = {"section": other_section.pk, "reason": "Works days now."}
    answer = client_of(coordinator).post(f"/students/{enrolment.pk}/move/", typed)
    assert answer.headers["Location"] == f"/students/{enrolment.pk}/"
    move = SectionMove.objects.get()
    assert (move.from_section, move.to_section) == (section, other_section)
    assert (move.moved_by, move.reason) == (coordinator, "Works days now.")
    before, after = client_of(instructor), client_of(other_instructor)
    assert student.last_name not in before.get(f"/sections/{section.pk}/").text
    assert before.get(f"/coupons/{coupon.public_id}/").status_code == 404
    assert student.last_name in after.get(f"/sections/{other_section.pk}/").text
    assert str(student) in after.get(f"/sections/{other_section.pk}/waiting/").text
    assert after.get(f"/coupons/{coupon.public_id}/grade/").status_code == 200
    assert client_of(student).get(f"/coupons/{coupon.public_id}/").status_code == 200
    assert "Works days now." in client_of(coordinator).get(f"/students/{enrolment.pk}/move/").text


def test_a_coupon_that_was_under_way_goes_to_the_new_section(
    enrolment: Enrolment, exercise: Exercise, other_section: Section, coordinator: User
) -> None:
    as_the_page_read_it = Enrolment.objects.get(pk=enrolment.pk)
    moving.move(enrolment, other_section, by=coordinator, reason="", at=MOMENT)
    coupon = hand_in_coupon(as_the_page_read_it, exercise, at=MOMENT + timedelta(minutes=1))
    assert coupon.section == other_section


@pytest.mark.postgres(only=True)
@pytest.mark.django_db(transaction=True)
def test_coupons_that_come_in_during_the_move_are_in_one_section_with_the_student(
    enrolment: Enrolment, exercise: Exercise, other_section: Section, coordinator: User
) -> None:
    def in_a_thread(work: Callable[[], object]) -> None:
        try:
            work()
        finally:
            connection.close()

    read_before = [Enrolment.objects.get(pk=enrolment.pk) for _phone in range(8)]
    jobs: list[Callable[[], object]] = [
        lambda each=each: hand_in_coupon(each, exercise)  # type: ignore[misc]
        for each in read_before
    ]
    jobs.insert(
        4, lambda: moving.move(enrolment, other_section, by=coordinator, reason="", at=MOMENT)
    )
    with ThreadPoolExecutor(len(jobs)) as people:
        for done in [people.submit(in_a_thread, job) for job in jobs]:
            done.result()
    assert Coupon.objects.count() == 8
    assert set(Coupon.objects.values_list("section", flat=True)) == {other_section.pk}


def test_a_section_of_another_plan_or_term_is_refused(
    enrolment: Enrolment, section: Section, coordinator: User
) -> None:
    school = section.term.school
    other_plan = SectionFactory.create(
        term=section.term, plan=CoursePlanFactory.create(school=school)
    )
    other_term = SectionFactory.create(term=TermFactory.create(school=school), plan=section.plan)
    for to in (other_plan, other_term, section):
        with pytest.raises(moving.CannotMove):
            moving.move(enrolment, to, by=coordinator, reason="", at=MOMENT)
    assert not SectionMove.objects.exists()


def test_who_is_on_both_rosters_is_not_moved(
    client: Client, enrolment: Enrolment, other_section: Section, coordinator: User
) -> None:
    EnrolmentFactory.create(section=other_section, user=enrolment.user)
    client.force_login(coordinator)
    typed = {"section": other_section.pk, "reason": "Works days now."}
    answer = client.post(f"/students/{enrolment.pk}/move/", typed)
    assert answer.status_code == 409
    assert "Take that entry off first." in answer.text
    assert 'value="Works days now."' in answer.text


def test_a_move_without_a_reason_or_to_elsewhere_is_said(
    client: Client, enrolment: Enrolment, other_section: Section, coordinator: User
) -> None:
    client.force_login(coordinator)
    elsewhere = SectionFactory.create()
    answer = client.post(f"/students/{enrolment.pk}/move/", {"section": elsewhere.pk})
    assert answer.status_code == 422
    assert "Choose a section of the same plan and term." in answer.text
    assert "Say why in a few words." in answer.text


def test_where_there_is_no_other_section_the_page_says_so(
    client: Client, enrolment: Enrolment, coordinator: User
) -> None:
    client.force_login(coordinator)
    page = client.get(f"/students/{enrolment.pk}/move/").text
    assert "No other section of this plan in this term." in page
