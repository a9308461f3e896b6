"""What is past its time, what is held, and how long a school keeps what.

Times and kinds are those of the notes on FERPA that the site was built from, from memory: photos
until a year after the term, grades and records long, codes and queues a year; nothing is removed
while a request is open (34 CFR 99.10). FERPA itself sets no times.
"""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from coursework import corrections, holds, purge_plan, section_issuing, sign_in_codes
from coursework.issuing import issue
from coursework.models import (
    CorrectionRequest,
    Coupon,
    Enrolment,
    Exercise,
    ExportFile,
    School,
    SchoolSettings,
    Section,
    User,
)
from coursework.retention import Kind, after_months, due
from tests.coursework.past_terms import CLOSED_AT, COUPONS_PAST, PHOTOS_PAST, add_photo, close
from tests.factories import MOMENT, EnrolmentFactory, hand_in_coupon

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
def school_now(school: School) -> School:
    """The school with its settings at hand."""
    return School.objects.select_related("settings").get(pk=school.pk)


def lines(school: School, now: datetime) -> list[tuple[object, ...]]:
    plan = purge_plan.plan(school, now)
    return [(each.kind, str(each.section or ""), each.count) for each in plan.lines]


@given(day=st.dates(date(1990, 1, 1), date(2090, 12, 31)), months=st.integers(-600, 1200))
def test_so_many_months_later_is_the_same_day_of_the_month_or_its_last(
    day: date, months: int
) -> None:
    later = after_months(day, months)
    assert (later.year - day.year) * 12 + later.month - day.month == months
    assert later.day == day.day or (later.day < day.day and (later + DAY).day == 1)


def test_photos_go_a_year_after_the_term_was_closed_and_coupons_after_five(
    school_now: School, section: Section, graded_coupon: Coupon
) -> None:
    add_photo(graded_coupon)
    close(section)
    named = "ALW 12, Section A"
    # Closed on the 20th: on the 20th a year later it is not past yet.
    assert lines(school_now, CLOSED_AT.replace(year=2027)) == []
    assert lines(school_now, CLOSED_AT.replace(year=2027) + DAY) == [("photos", named, 1)]
    assert lines(school_now, COUPONS_PAST) == [("photos", named, 1), ("coupons", named, 1)]


def test_a_line_says_the_oldest_and_the_newest_day_of_the_school_s_time_zone(
    school_now: School, section: Section, enrolment: Enrolment, exercise: Exercise
) -> None:
    # 03:00 in UTC is the evening before in Chicago.
    for at in (datetime(2026, 9, 1, 3, 0, tzinfo=UTC), datetime(2026, 10, 2, 20, 0, tzinfo=UTC)):
        hand_in_coupon(enrolment, exercise, at=at)
    close(section)
    (line,) = purge_plan.plan(school_now, COUPONS_PAST).lines
    assert (line.oldest, line.newest) == (date(2026, 8, 31), date(2026, 10, 2))


def test_the_time_runs_from_the_last_day_where_a_term_was_closed_before_it(
    school_now: School, section: Section, coupon: Coupon
) -> None:
    add_photo(coupon)
    close(section)
    section.term.ends_on = date(2026, 12, 15)
    section.term.save()
    assert lines(school_now, PHOTOS_PAST) == []
    assert lines(school_now, PHOTOS_PAST.replace(month=12)) != []


def test_nothing_of_an_open_term_is_ever_past(
    school_now: School, section: Section, coupon: Coupon
) -> None:
    add_photo(coupon)
    assert lines(school_now, COUPONS_PAST.replace(year=2090)) == []


def test_records_stay_for_good_unless_the_school_sets_a_time(
    school_now: School, section: Section, enrolment: Enrolment, instructor: User
) -> None:
    issue(enrolment, instructor, MOMENT, after_issue=0)
    close(section)
    far = COUPONS_PAST.replace(year=2090)
    assert lines(school_now, far) == []
    school_now.settings.keep_records_months = 120
    assert lines(school_now, COUPONS_PAST) == []
    assert lines(school_now, far) == [("records", "ALW 12, Section A", 1)]


def test_codes_go_a_year_after_they_were_over(
    school_now: School, student: User, coordinator: User
) -> None:
    sign_in_codes.make(student, by=coordinator, at=MOMENT)
    assert lines(school_now, MOMENT + timedelta(days=365)) == []
    assert lines(school_now, MOMENT + timedelta(days=370)) == [("codes", "", 1)]


def test_notes_of_files_go_a_year_after_they_were_asked_for_and_never_with_a_file(
    school_now: School, section: Section, instructor: User
) -> None:
    def asked(**state: object) -> None:
        ExportFile.objects.create(
            asked_by=instructor, kind="x", section=section, asked_at=MOMENT, **state
        )

    asked(state="expired")
    asked(state="ready", expires_at=MOMENT, file="x.zip", sha256="x")
    asked(state="waiting")
    assert lines(school_now, MOMENT + timedelta(days=365)) == []
    assert lines(school_now, MOMENT + timedelta(days=370)) == [("files", "", 1)]


def test_another_school_s_rows_are_not_there(
    school_now: School, section: Section, coupon: Coupon
) -> None:
    close(section)
    other = EnrolmentFactory.create().section.term.school
    assert lines(other, COUPONS_PAST) == []
    assert lines(school_now, COUPONS_PAST) != []


def test_who_would_lose_coupons_without_ever_having_a_record_is_counted(
    school_now: School,
    section: Section,
    enrolment: Enrolment,
    coupon: Coupon,
    exercise: Exercise,
    instructor: User,
) -> None:
    for student in (enrolment, EnrolmentFactory.create(section=section)):
        hand_in_coupon(student, exercise)
    issue(enrolment, instructor, MOMENT, after_issue=0)
    close(section)
    (line,) = purge_plan.plan(school_now, COUPONS_PAST).lines
    assert (line.count, line.without_record) == (3, 1)


# --- holds


def test_a_hold_on_a_student_keeps_all_of_that_student_and_nothing_else(
    school_now: School,
    section: Section,
    coupon: Coupon,
    exercise: Exercise,
    coordinator: User,
    student: User,
) -> None:
    add_photo(coupon)
    hand_in_coupon(EnrolmentFactory.create(section=section), exercise)
    close(section)
    hold = holds.place(school_now, student, "Asked to see the file.", by=coordinator, at=MOMENT)
    plan = purge_plan.plan(school_now, COUPONS_PAST)
    assert [(each.kind, each.count) for each in plan.lines] == [("coupons", 1)]
    (held,) = plan.held
    assert held.who == "Ansa Quill (ALW 12, Section A, Fall 2026)"
    assert held.why == ("Asked to see the file.",)
    assert held.counts == {Kind.PHOTOS: 1, Kind.COUPONS: 1}
    holds.lift(hold, by=coordinator, at=MOMENT)
    plan = purge_plan.plan(school_now, COUPONS_PAST)
    assert (plan.total, plan.held) == (3, ())


def test_a_hold_on_a_section_is_one_line_for_all_of_it(
    school_now: School,
    section: Section,
    other_section: Section,
    coupon: Coupon,
    exercise: Exercise,
    coordinator: User,
) -> None:
    for place in (section, other_section):
        hand_in_coupon(EnrolmentFactory.create(section=place), exercise)
    close(section)
    holds.place(school_now, section, "An audit.", by=coordinator, at=MOMENT)
    plan = purge_plan.plan(school_now, COUPONS_PAST)
    assert [(str(each.section), each.count) for each in plan.lines] == [("ALW 12, Section B", 1)]
    (held,) = plan.held
    assert (held.who, held.why) == ("ALW 12, Section A, Fall 2026", ("An audit.",))
    assert held.counts == {Kind.COUPONS: 2}


@pytest.mark.postgres
def test_an_open_correction_request_is_a_hold_until_it_is_decided(
    school_now: School, section: Section, enrolment: Enrolment, coupon: Coupon, instructor: User
) -> None:
    close(section)
    asked = corrections.ask(enrolment, coupon, "Not mine.", at=MOMENT)
    plan = purge_plan.plan(school_now, COUPONS_PAST)
    assert plan.lines == ()
    assert [each.why for each in plan.held] == [("A correction request is open.",)]
    declined = CorrectionRequest.Decision.DECLINED
    corrections.decide(asked, declined, "It is.", by=instructor, at=MOMENT)
    assert due(Kind.COUPONS, school_now, COUPONS_PAST).get() == coupon


def test_the_record_of_a_section_stays_while_one_of_its_students_is_held(
    school_now: School,
    section: Section,
    enrolment: Enrolment,
    instructor: User,
    coordinator: User,
) -> None:
    section_issuing.issue(section, [enrolment], instructor, MOMENT, after_issue=0)
    close(section)
    school_now.settings.keep_records_months = 60
    assert [each[0] for each in lines(school_now, COUPONS_PAST)] == ["records", "section_records"]
    holds.place(school_now, enrolment.user, "Complaint.", by=coordinator, at=MOMENT)
    plan = purge_plan.plan(school_now, COUPONS_PAST)
    assert plan.lines == ()
    assert [(each.who, each.why, each.counts) for each in plan.held] == [
        ("Ansa Quill (ALW 12, Section A, Fall 2026)", ("Complaint.",), {Kind.RECORDS: 1}),
        (
            "ALW 12, Section A, Fall 2026",
            ("A student's records in it are held.",),
            {Kind.SECTION_RECORDS: 1},
        ),
    ]


def test_codes_of_a_held_student_stay(
    school_now: School, enrolment: Enrolment, student: User, coordinator: User
) -> None:
    sign_in_codes.make(student, by=coordinator, at=MOMENT)
    holds.place(school_now, student, "Complaint.", by=coordinator, at=MOMENT)
    assert lines(school_now, COUPONS_PAST) == []


def test_the_same_hold_sent_twice_is_one(
    school_now: School, student: User, coordinator: User
) -> None:
    for _time in range(2):
        holds.place(school_now, student, "Complaint.", by=coordinator, at=MOMENT)
    assert school_now.holds.count() == 1


def test_the_fingerprint_is_another_one_when_anything_else_would_go(
    school_now: School, section: Section, coupon: Coupon
) -> None:
    close(section)
    before = purge_plan.plan(school_now, COUPONS_PAST)
    assert purge_plan.plan(school_now, COUPONS_PAST).fingerprint == before.fingerprint
    Coupon.objects.filter(pk=coupon.pk).update(handed_in_at=MOMENT + DAY)
    assert purge_plan.plan(school_now, COUPONS_PAST).fingerprint != before.fingerprint


# --- the page


@pytest.fixture
def office(client_of: Callable[[User], Client], coordinator: User) -> Client:
    """The coordinator's browser."""
    return client_of(coordinator)


TYPED = {
    "keep_photos_months": "24",
    "keep_coupons_months": "72",
    "keep_records_months": "120",
    "keep_logs_months": "6",
}


def test_the_times_are_stored_and_shown_again(office: Client, school: School) -> None:
    page = office.post("/office/retention/", TYPED, follow=True)
    settings = SchoolSettings.objects.get(school=school)
    assert {name: str(getattr(settings, name)) for name in TYPED} == TYPED
    assert {name: str(page.context["form"][name].value()) for name in TYPED} == TYPED


def test_records_without_a_time_stay_for_good(office: Client, school: School) -> None:
    office.post("/office/retention/", TYPED | {"keep_records_months": ""})
    assert SchoolSettings.objects.get(school=school).keep_records_months is None


def test_the_defaults_are_called_defaults_and_no_legal_advice(office: Client) -> None:
    page = office.get("/office/retention/").content.decode()
    assert "not legal advice" in page
    assert "FERPA sets no times" in page


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"keep_coupons_months": "23"}, "Photos go with their coupons: type 24 or more."),
        ({"keep_records_months": "71"}, "A record outlasts its coupons: type 72 or more"),
        ({"keep_photos_months": "0"}, "Type a whole number of 1 or more"),
        ({"keep_logs_months": "a year"}, "Type a whole number of 1 or more"),
        ({"keep_coupons_months": ""}, "This field is required"),
        ({"keep_records_months": "1201"}, "A hundred years are the most"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_typed_is_lost(
    office: Client, school: School, changes: dict[str, str], said: str
) -> None:
    before = SchoolSettings.objects.values().get(school=school)
    page = office.post("/office/retention/", TYPED | changes)
    assert page.status_code == 422
    assert said in page.content.decode()
    for value in (TYPED | changes).values():
        assert f'value="{value}"' in page.content.decode() or not value
    assert SchoolSettings.objects.values().get(school=school) == before


@pytest.mark.postgres
@pytest.mark.parametrize(
    "changes",
    [
        {"keep_photos_months": 0},
        {"keep_coupons_months": 11},
        {"keep_records_months": 59},
        {"keep_logs_months": 0},
    ],
)
def test_the_database_keeps_the_order_of_times(school: School, changes: dict[str, int]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        SchoolSettings.objects.filter(school=school).update(**changes)
