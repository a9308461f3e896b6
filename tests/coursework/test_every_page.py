"""What holds for every page: no sideways scroll at 320 px, nothing grave by axe-core."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.db import transaction
from django.urls import reverse
from playwright.sync_api import Page, expect

from coursework import access, corrections, holds, section_issuing
from coursework.audit import record_act
from coursework.disclosures import disclose
from coursework.issuing import issue, withdraw
from coursework.models import Act, Coupon, Enrolment, Exercise, Purge, Section, User
from coursework.purge_plan import plan
from coursework.record_checking import check_path
from tests.conftest import OpenPage
from tests.factories import (
    MOMENT,
    EnrolmentFactory,
    SectionFactory,
    TermFactory,
    clean_document,
    grade_coupon,
    hand_in_coupon,
    second_look_of,
)
from tests.pages import grave_issues, sideways_scroll_px

pytestmark = pytest.mark.django_db(transaction=True)

NARROW = {"width": 320, "height": 640}
WIDE = {"width": 1280, "height": 900}
OPEN_PAGES = (
    "sign_in",
    "join",
    "help",
    "guides",
    "cleaning_guide",
    "set_up_guide",
    "filler_guide",
    "heat_guide",
    "alloys",
    "imperfection_guide",
    "sources",
    "record_check",
)
# Guides that were asked something, or of one thing.
ASKED = (
    "/guides/set-up/?process=GTAW&joint=tee&thickness_mm=5",
    "/guides/filler/?alloy=6061",
    "/guides/heat/?process=GTAW&voltage_v=14&current_a=135&travel_speed_mm_s=5&alloy=6061&t6=on",
    "/guides/alloys/5754/",
    "/guides/imperfections/undercut/",
)
# A sentence with a word that no line of a phone holds.
LONG = f"The filler was 4043, not 5356: {'Donaudampfschiff' * 5} says so, and the rod bin. " * 2
ROSTER_PAGES = ("roster", "roster_import", "join_code", "labels")
STUDENT_PAGES = ("bench", "coupons", "progress", "your_files", "correction_ask")
DUTIES = ("correction_requests", "disclosures", "retention", "purge", "holds")


@pytest.fixture
def faulty(enrolment: Enrolment, exercise: Exercise) -> Coupon:
    """Give a coupon with stops, warnings, marks on the bead and causes."""
    document = clean_document(
        exercise,
        polarity="DCEN",
        gas_flow_l_min=3,
        cleaning=[{"step": "remove_oxide", "tool": "carbon_steel_brush"}],
        imperfections=[
            {"number": "2017", "size_mm": 1.2, "count": 6, "at_mm": 38, "length_mm": 24},
            {"number": "104", "size_mm": 3, "at_mm": 148},
        ],
    )
    return hand_in_coupon(enrolment, exercise, document | {"filler": None})


@pytest.fixture
def student_addresses(
    student: User, enrolment: Enrolment, exercise: Exercise, faulty: Coupon, instructor: User
) -> list[str]:
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    record = issue(enrolment, instructor, faulty.handed_in_at, after_issue=0)
    asked = corrections.ask(enrolment, faulty, LONG, at=MOMENT)
    corrections.decide(asked, "declined", LONG, by=instructor, at=MOMENT)
    disclose(instructor, [enrolment], LONG[:160], LONG[:160], "interest", LONG)
    return [
        reverse("coursework:correction_request", args=[asked.pk]),
        *(reverse(f"coursework:{name}") for name in STUDENT_PAGES),
        reverse("coursework:coupon_log", args=[exercise.pk]),
        reverse("coursework:coupon", args=[faulty.public_id]),
        reverse("coursework:coupon_correct", args=[faulty.public_id]),
        reverse("coursework:issued_record", args=[record.code]),
    ]


def editor_addresses(exercise: Exercise) -> list[str]:
    """Return the pages on which plans, exercises and rubrics are written."""
    return [
        reverse("coursework:plans"),
        reverse("coursework:plan", args=[exercise.plan_id]),
        reverse("coursework:exercise_new", args=[exercise.plan_id]),
        reverse("coursework:exercise_edit", args=[exercise.pk]),
        reverse("coursework:rubrics"),
        reverse("coursework:rubric", args=[exercise.rubric_id]),
        reverse("coursework:rubric_draft", args=[exercise.rubric_id]),
    ]


def record_addresses(section: Section, enrolment: Enrolment, instructor: User) -> list[str]:
    """Return the pages of a section's record, and of one that is withdrawn and checked."""
    found = access.enrolments(instructor).get(pk=enrolment.pk)
    first = issue(found, instructor, MOMENT, after_issue=0)
    withdraw(first, by=instructor, reason="Made too early.", at=MOMENT)
    of_section = section_issuing.issue(section, [found], instructor, MOMENT, after_issue=0)
    return [
        reverse("coursework:issued_record", args=[first.code]),
        check_path(first),
        reverse("coursework:section_record", args=[of_section.code]),
        reverse("coursework:section_record_withdraw", args=[of_section.code]),
    ]


@pytest.fixture
def staff_addresses(
    section: Section, enrolment: Enrolment, exercise: Exercise, faulty: Coupon, instructor: User
) -> list[str]:
    grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
    asked = corrections.ask(enrolment, faulty, LONG, at=MOMENT)
    return [
        reverse("coursework:sections"),
        reverse("coursework:correction_requests"),
        reverse("coursework:correction_request", args=[asked.pk]),
        reverse("coursework:disclose", args=[section.pk]),
        *(reverse(f"coursework:{n}", args=[section.pk]) for n in ROSTER_PAGES),
        *(
            reverse(f"coursework:{n}", args=[section.pk])
            for n in ("section", "held", "waiting", "records", "today", "section_exports")
        ),
        reverse("coursework:section_coupons", args=[section.pk]),
        reverse("coursework:agreement", args=[section.pk]),
        reverse("coursework:second_looks", args=[section.pk]),
        reverse("coursework:second_look", args=[second_look_of(section, exercise).pk]),
        reverse("coursework:student", args=[enrolment.pk]),
        reverse("coursework:record", args=[enrolment.pk]),
        *record_addresses(section, enrolment, instructor),
        reverse("coursework:office"),
        reverse("coursework:limits"),
        *editor_addresses(exercise),
        reverse("coursework:log_for", args=[section.pk]),
        reverse("coursework:coupon_log_for", args=[enrolment.pk, exercise.pk]),
        reverse("coursework:grade", args=[faulty.public_id]),
        reverse("coursework:coupon", args=[faulty.public_id]),
    ]


def leave_duties(enrolment: Enrolment, coupon: Coupon, coordinator: User) -> None:
    """Leave a line in every list of duties, and something in the purge to remove and to hold."""
    school = enrolment.section.term.school
    disclose(coordinator, [enrolment], LONG[:160], LONG[:160], "consent", LONG)
    corrections.ask(enrolment, coupon, LONG, at=MOMENT)
    holds.place(school, enrolment.section, LONG, by=coordinator, at=MOMENT)
    past = TermFactory.create(
        school=school,
        name="Fall 2016",
        starts_on=date(2016, 8, 22),
        ends_on=date(2016, 11, 18),
    )
    section = SectionFactory.create(term=past, plan=enrolment.section.plan)
    other = SectionFactory.create(term=past, plan=enrolment.section.plan)
    for each in (section, other):
        hand_in_coupon(EnrolmentFactory.create(section=each), coupon.exercise)
    past.closed_at = datetime(2016, 12, 1, tzinfo=UTC)
    past.save()
    holds.place(school, other, LONG, by=coordinator, at=MOMENT)
    Purge.objects.create(
        school=school,
        started_by=coordinator,
        started_at=MOMENT,
        ended_at=MOMENT,
        outcome="stopped",
        confirmed=plan(school, MOMENT).as_json(),
        removed={"coupons": 1},
    )


@pytest.fixture
def office_addresses(
    section: Section, enrolment: Enrolment, exercise: Exercise, faulty: Coupon, coordinator: User
) -> list[str]:
    leave_duties(enrolment, faulty, coordinator)
    own = {"imperfection": "undercut", "judged_by": "size", "base_mm": 0.5, "cap_mm": 1.0}
    settings = section.term.school.settings
    settings.limit_sets = [{"name": "First term", "limits": [own]}]
    settings.save()
    long = {"one_member": "x" * 300, "fingerprint": "0123456789abcdef" * 4}
    with transaction.atomic():
        record_act(None, Act.EXPORTED, section, before={"level": 2}, after=long, reason="x" * 300)
    return [
        *(
            reverse(f"coursework:{name}")
            for name in ("office", "term_new", "staff", "school_settings", "limits", "audit")
        ),
        *(reverse(f"coursework:{name}") for name in DUTIES),
        *(
            reverse(f"coursework:{name}", args=[section.term_id])
            for name in ("term", "term_close", "section_new")
        ),
        reverse("coursework:section_staff", args=[section.pk]),
        reverse("coursework:limit_set", args=[1]),
        reverse("coursework:student_move", args=[enrolment.pk]),
        reverse("coursework:whole_file", args=[enrolment.pk]),
        reverse("coursework:sign_in_code", args=[enrolment.user_id]),
    ]


def judged(page: Page, addresses: list[str]) -> dict[str, Any]:
    """Return what is wrong with each page, where anything is."""
    found: dict[str, Any] = {}
    for address in addresses:
        answer = page.goto(address)
        assert answer is not None
        assert answer.status == 200, address
        assert page.url.endswith(address), page.url
        if page.locator("#live").count():
            page.wait_for_load_state("networkidle")
        wrong = [*grave_issues(page)]
        if over := sideways_scroll_px(page):
            wrong.append(f"{over} px wider than its window")
        if wrong:
            found[address] = wrong
    return found


@pytest.mark.parametrize(
    ("viewport", "color_scheme"),
    [
        pytest.param(NARROW, "light", id="narrow-light"),
        pytest.param(WIDE, "dark", id="wide-dark"),
        pytest.param(NARROW, "dark", id="narrow-dark", marks=pytest.mark.long),
        pytest.param(WIDE, "light", id="wide-light", marks=pytest.mark.long),
    ],
)
class TestEveryPage:
    """Each on a phone and on a laptop, in light and in dark."""

    def test_open(self, open_page: OpenPage, viewport: Any, color_scheme: str) -> None:
        page = open_page(viewport=viewport, color_scheme=color_scheme)
        pages = [reverse(f"coursework:{name}") for name in OPEN_PAGES]
        assert judged(page, [*pages, *ASKED]) == {}

    def test_student(
        self,
        open_page: OpenPage,
        sign_in: Callable[[Page, object], None],
        student: User,
        student_addresses: list[str],
        viewport: Any,
        color_scheme: str,
    ) -> None:
        page = open_page(viewport=viewport, color_scheme=color_scheme)
        sign_in(page, student)
        assert judged(page, student_addresses) == {}

    def test_staff(
        self,
        open_page: OpenPage,
        sign_in: Callable[[Page, object], None],
        instructor: User,
        staff_addresses: list[str],
        viewport: Any,
        color_scheme: str,
    ) -> None:
        page = open_page(viewport=viewport, color_scheme=color_scheme)
        sign_in(page, instructor)
        assert judged(page, staff_addresses) == {}

    def test_office(
        self,
        open_page: OpenPage,
        sign_in: Callable[[Page, object], None],
        coordinator: User,
        office_addresses: list[str],
        viewport: Any,
        color_scheme: str,
    ) -> None:
        page = open_page(viewport=viewport, color_scheme=color_scheme)
        sign_in(page, coordinator)
        assert judged(page, office_addresses) == {}


def test_a_form_with_errors_puts_the_focus_on_the_summary(
    phone: Page,
    sign_in: Callable[[Page, object], None],
    student: User,
    exercise: Exercise,
    enrolment: Enrolment,
) -> None:
    sign_in(phone, student)
    phone.goto(reverse("coursework:coupon_log", args=[exercise.pk]))
    phone.get_by_role("button", name="Hand in the coupon").click()
    expect(phone.locator("[data-error-summary]")).to_be_focused()
    assert sideways_scroll_px(phone) == 0
    assert grave_issues(phone) == []


def test_the_form_is_usable_without_script(
    open_page: OpenPage,
    sign_in: Callable[[Page, object], None],
    student: User,
    exercise: Exercise,
    enrolment: Enrolment,
) -> None:
    page = open_page(viewport=NARROW, java_script_enabled=False)
    sign_in(page, student)
    page.goto(reverse("coursework:coupon_log", args=[exercise.pk]))
    page.get_by_label("Filler", exact=True).select_option("5356")
    page.get_by_label("I cleaned it: the steps are below").check()
    for place, step in enumerate(("degrease", "dry", "remove_oxide"), start=1):
        page.locator(f"#id_step_{step}_place").fill(str(place))
    page.get_by_role("button", name="Hand in the coupon").click()
    assert Coupon.objects.get().number == 1
    assert page.get_by_role("heading", level=1).inner_text() == "Coupon 1"
