"""The grading bench: rows left out, phrases, held grades, check tests, who has what in hand."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from coursework import grading, queue
from coursework.models import (
    CheckResult,
    Coupon,
    Enrolment,
    Exercise,
    Grade,
    Lease,
    Phrase,
    School,
    SchoolSettings,
    SecondLook,
    User,
)
from tests.coursework.test_grade import ROWS, address, filled_in
from tests.factories import (
    MOMENT,
    EnrolmentFactory,
    InstructorFactory,
    clean_document,
    hand_in_coupon,
)

type ClientOf = Callable[[User], Client]


@pytest.fixture
def colleague(coupon: Coupon) -> User:
    """A second instructor of the section."""
    user = InstructorFactory.create(
        school=coupon.section.term.school, first_name="Ines", last_name="Rowe"
    )
    EnrolmentFactory.create(section=coupon.section, user=user)
    return user


@pytest.mark.parametrize(("percent", "drawn"), [(100, 1), (0, 0)])
def test_a_share_of_what_is_graded_is_drawn_for_a_second_grading(
    client_of: ClientOf,
    instructor: User,
    colleague: User,
    coupon: Coupon,
    percent: int,
    drawn: int,
) -> None:
    SchoolSettings.objects.update(second_grading_percent=percent)
    client_of(instructor).post(address(coupon), filled_in(coupon))
    assert SecondLook.objects.filter(coupon=coupon).count() == drawn
    listed = client_of(colleague).get(reverse("coursework:second_looks", args=[coupon.section_id]))
    assert (str(coupon.enrolment.user) in listed.content.decode()) == bool(drawn)


# --- rows, phrases, what to repeat


def test_a_row_that_does_not_apply_is_left_out_and_the_others_make_up_100(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    # Of 85 without the destructive test 20 are left out: 65 * 3 + 0 = 195 of 65.
    rows = filled_in(coupon, score_soundness=0, score_technique=4)
    assert client_of(instructor).post(address(coupon), rows).status_code == 302
    grade = Grade.objects.get()
    assert grade.scores.count() == len(ROWS) - 1
    # (20*3 + 10*3 + 15*4 + 15*3 + 5*3) / 65 = 210 / 65
    assert grade.weighted == Decimal("3.23")


def test_a_row_that_must_be_kept_cannot_be_left_out(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    page = client_of(instructor).post(address(coupon), filled_in(coupon, score_safety=0))
    assert page.status_code == 422
    assert not Grade.objects.exists()


def test_nothing_but_rows_left_out_is_no_grade(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    rows = filled_in(coupon) | {f"score_{key}": 0 for key in ROWS[2:]}
    page = client_of(instructor).post(address(coupon), rows)
    assert page.status_code == 422
    assert "Score at least one row that has a weight." in page.content.decode()


def test_a_crack_caps_the_coupon_at_one(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    rows = filled_in(coupon, level=4, score_sound=1, decision="returned")
    client_of(instructor).post(address(coupon), rows)
    grade = Grade.objects.get()
    assert (grade.level, grade.capped_by) == (1, "Free of cracks and lack of fusion")
    assert grade.repeat == "The start."


def test_phrases_are_kept_added_and_counted(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    first, second = (hand_in_coupon(enrolment, exercise) for _ in range(2))
    browser = client_of(instructor)
    browser.post(address(first), filled_in(first, comment="Hold it  shorter.", keep_phrase="on"))
    phrase = Phrase.objects.get()
    assert (phrase.text, phrase.used) == ("Hold it shorter.", 1)
    assert "Hold it shorter." in browser.get(address(second)).content.decode()
    browser.post(address(second), filled_in(second, comment="Good.", phrases=[phrase.pk]))
    second.refresh_from_db()
    assert second.grade
    assert second.grade.comment == "Good. Hold it shorter."
    phrase.refresh_from_db()
    assert phrase.used == 2


def test_nobody_uses_the_phrases_of_another(
    client_of: ClientOf, instructor: User, colleague: User, coupon: Coupon
) -> None:
    theirs = Phrase.objects.create(owner=colleague, text="Mine alone.")
    browser = client_of(instructor)
    assert "Mine alone." not in browser.get(address(coupon)).content.decode()
    page = browser.post(address(coupon), filled_in(coupon, phrases=[theirs.pk]))
    assert page.status_code == 422
    assert not Grade.objects.exists()


# --- held, released, taken back


@pytest.fixture
def held(client_of: ClientOf, instructor: User, coupon: Coupon) -> Coupon:
    """A coupon whose grade is held."""
    client_of(instructor).post(address(coupon), filled_in(coupon, comment="Secret.", hold="on"))
    coupon.refresh_from_db()
    return coupon


def student_sees(client_of: ClientOf, student: User, coupon: Coupon) -> str:
    browser = client_of(student)
    pages = [reverse("coursework:coupon", args=[coupon.public_id])]
    pages += [reverse(f"coursework:{name}") for name in ("bench", "coupons", "progress")]
    return " ".join(browser.get(page).content.decode() for page in pages)


def test_a_held_grade_is_seen_by_nobody_but_instructors(
    client_of: ClientOf, instructor: User, student: User, held: Coupon
) -> None:
    assert (held.state, held.grade) == (Coupon.State.HELD, None)
    seen = student_sees(client_of, student, held)
    assert "Secret." not in seen
    assert "accepted" not in seen
    assert "waiting for a grade" in seen
    assert "it is held" in client_of(instructor).get(address(held)).content.decode()


def test_held_grades_are_released_together(
    client_of: ClientOf, instructor: User, student: User, held: Coupon
) -> None:
    page = reverse("coursework:held", args=[held.section_id])
    browser = client_of(instructor)
    assert "choose at least one" in browser.post(page, follow=True).content.decode().lower()
    said = browser.post(page, {"coupon": [held.pk]}, follow=True).content.decode()
    assert "1 grade released." in said
    held.refresh_from_db()
    assert held.state == Coupon.State.ACCEPTED
    assert held.grade
    assert held.grade.released_at
    assert "Secret." in student_sees(client_of, student, held)


def test_a_held_grade_can_be_graded_again_and_waits_on(
    client_of: ClientOf, instructor: User, student: User, held: Coupon
) -> None:
    browser = client_of(instructor)
    page = browser.post(address(held), filled_in(held, hold="on"))
    assert (page.status_code, "Say why." in page.text) == (422, True)
    again = filled_in(held, level=4, comment="Under a lens.", reason="Seen again.", hold="on")
    assert browser.post(address(held), again).status_code == 302
    held.refresh_from_db()
    assert (held.state, held.grade) == (Coupon.State.HELD, None)
    held_page = reverse("coursework:held", args=[held.section_id])
    assert [each.number for each in browser.get(held_page).context["held"]] == [2]
    browser.post(held_page, {"coupon": [held.pk]})
    seen = student_sees(client_of, student, held)
    assert "Under a lens." in seen
    assert "Secret." not in seen


def test_taking_a_regrade_of_a_held_grade_back_leaves_that_one_held(
    client_of: ClientOf, instructor: User, student: User, held: Coupon
) -> None:
    browser = client_of(instructor)
    browser.post(address(held), filled_in(held, level=4, reason="Seen again."))
    held.refresh_from_db()
    assert held.state == Coupon.State.ACCEPTED
    assert "Secret." not in student_sees(client_of, student, held)
    browser.post(reverse("coursework:take_back", args=[held.public_id]))
    held.refresh_from_db()
    assert (held.state, held.grade) == (Coupon.State.HELD, None)
    assert "Secret." not in student_sees(client_of, student, held)


def test_the_later_of_two_graders_is_told_of_a_held_grade_of_its_release_and_its_end(
    client_of: ClientOf, instructor: User, colleague: User, coupon: Coupon
) -> None:
    first, second = client_of(instructor), client_of(colleague)
    late = filled_in(coupon, comment="Mine came second.")

    def told() -> str:
        return second.post(address(coupon), late).content.decode()

    first.post(address(coupon), filled_in(coupon, hold="on"))
    assert f"{instructor} graded this coupon first: level 3, accepted" in told()
    first.post(reverse("coursework:held", args=[coupon.section_id]), {"coupon": [coupon.pk]})
    assert f"The grade that {instructor} gave this coupon was released: level 3" in told()
    first.post(reverse("coursework:take_back", args=[coupon.public_id]))
    assert f"{instructor} took a grade of this coupon back after you opened it" in told()


def test_a_grade_that_is_released_twice_at_once_is_released_once(
    held: Coupon, instructor: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    everything = Coupon.objects.all()
    newest = grading.newest_grade
    inner: list[int] = []

    def released_meanwhile(coupon: Coupon) -> Grade | None:
        monkeypatch.setattr(grading, "newest_grade", newest)
        inner.append(grading.release(everything, by=instructor, at=timezone.now()))
        return newest(coupon)

    monkeypatch.setattr(grading, "newest_grade", released_meanwhile)
    assert grading.release(everything, by=instructor, at=timezone.now()) == 0
    assert inner == [1]
    held.refresh_from_db()
    assert held.version == 3


@pytest.mark.parametrize("numbers", [["x"], ["-1"], ["9" * 40], ["\x00"]])
def test_what_is_no_coupon_is_not_released(
    client_of: ClientOf, instructor: User, held: Coupon, numbers: list[str]
) -> None:
    page = reverse("coursework:held", args=[held.section_id])
    assert client_of(instructor).post(page, {"coupon": numbers}, follow=True).status_code == 200
    held.refresh_from_db()
    assert held.state == Coupon.State.HELD


def test_the_school_may_hold_all_grades_by_default(
    client_of: ClientOf, instructor: User, school: School, coupon: Coupon
) -> None:
    school.settings.hold_grades = True
    school.settings.save()
    text = client_of(instructor).get(address(coupon)).content.decode()
    assert "checked" in text.partition('name="hold"')[2].partition(">")[0]


def test_a_grade_can_be_taken_back_for_ten_minutes_by_its_grader(
    client_of: ClientOf, instructor: User, colleague: User, coupon: Coupon
) -> None:
    browser = client_of(instructor)
    browser.post(address(coupon), filled_in(coupon))
    back = reverse("coursework:take_back", args=[coupon.public_id])
    assert client_of(colleague).post(back, follow=True).status_code == 200
    coupon.refresh_from_db()
    assert coupon.state == Coupon.State.ACCEPTED
    assert "Take it back" in browser.get(address(coupon)).content.decode()
    browser.post(back)
    coupon.refresh_from_db()
    assert (coupon.state, coupon.grade, coupon.version) == (Coupon.State.HANDED_IN, None, 3)
    assert Grade.objects.get().undone_at
    browser.post(address(coupon), filled_in(coupon, level=4))
    coupon.refresh_from_db()
    assert coupon.grade
    assert (coupon.grade.number, coupon.grade.level, coupon.grade.reason) == (2, 4, "")
    Grade.objects.update(graded_at=timezone.now() - timedelta(minutes=11))
    said = browser.post(back, follow=True).content.decode()
    assert "taken back for ten minutes" in said
    coupon.refresh_from_db()
    assert coupon.state == Coupon.State.ACCEPTED


def test_taking_a_regrade_back_leaves_the_grade_before_it(
    client_of: ClientOf, instructor: User, graded_coupon: Coupon
) -> None:
    browser = client_of(instructor)
    again = filled_in(graded_coupon, level=2, decision="returned", reason="Looked again.")
    browser.post(address(graded_coupon), again)
    browser.post(reverse("coursework:take_back", args=[graded_coupon.public_id]))
    graded_coupon.refresh_from_db()
    assert graded_coupon.state == Coupon.State.ACCEPTED
    assert graded_coupon.grade
    assert graded_coupon.grade.number == 1


# --- check tests


def test_the_check_test_opens_only_where_the_exercise_asks_for_one(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    browser = client_of(instructor)
    assert "check_result" not in browser.get(address(coupon)).content.decode()
    Exercise.objects.update(check_test="bend")
    assert "bend test" in browser.get(address(coupon)).content.decode()


def test_the_result_of_a_check_test_is_stored_with_the_grade(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    Exercise.objects.update(check_test="bend")
    tested: dict[str, Any] = {
        "check_result": "failed",
        "check_opening": "0,125",
        "check_opening_unit": "in",
        "check_note": "Opened at the root.",
        "score_destructive": 2,
    }
    page = client_of(instructor).post(address(coupon), filled_in(coupon, **tested))
    assert page.status_code == 302
    result = CheckResult.objects.get()
    assert (result.kind, result.passed, result.note) == ("bend", False, "Opened at the root.")
    assert result.largest_opening_mm == pytest.approx(3.175)
    assert result.tested_by == instructor


def test_an_opening_that_is_no_number_loses_nothing(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    Exercise.objects.update(check_test="bend")
    tested: dict[str, Any] = {
        "check_result": "failed",
        "check_opening": "wide",
        "check_opening_unit": "mm",
    }
    rows = filled_in(coupon, score_destructive=2, comment="Not lost.", **tested)
    page = client_of(instructor).post(address(coupon), rows)
    assert page.status_code == 422
    assert "Not lost." in page.content.decode()
    assert "wide" in page.content.decode()
    assert not CheckResult.objects.exists()


# --- in hand


def test_two_graders_do_not_meet_at_a_coupon(
    client_of: ClientOf,
    instructor: User,
    colleague: User,
    coupon: Coupon,
    enrolment: Enrolment,
    exercise: Exercise,
) -> None:
    second = hand_in_coupon(enrolment, exercise, at=MOMENT + timedelta(hours=1))
    third = hand_in_coupon(enrolment, exercise, at=MOMENT + timedelta(hours=2))
    client_of(instructor).get(address(second))
    assert f"{instructor} has this coupon in hand" in (
        client_of(colleague).get(address(second)).content.decode()
    )
    page = client_of(colleague).post(address(coupon), filled_in(coupon))
    assert page.headers["Location"] == address(third)
    Lease.objects.update(until=timezone.now() - timedelta(seconds=1))
    everything = Coupon.objects.all()
    assert queue.next_for(everything, colleague, timezone.now()) == second


@pytest.mark.django_db(transaction=True)
def test_five_coupons_in_a_row_are_graded_by_keyboard_alone(
    laptop: Page,
    sign_in: Callable[[Page, object], None],
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
) -> None:
    coupons = [
        hand_in_coupon(
            enrolment, exercise, clean_document(exercise), at=MOMENT + timedelta(minutes=place)
        )
        for place in range(5)
    ]
    sign_in(laptop, instructor)
    laptop.goto(address(coupons[0]))
    for place in range(5):
        for digit in "33342341":
            laptop.keyboard.press("j")
            laptop.keyboard.press(digit)
        laptop.keyboard.press("c")
        laptop.keyboard.type(f"Coupon {place + 1}.")
        expect(laptop.locator("#sum")).to_contain_text("8 of 8 rows")
        laptop.keyboard.press("Control+Enter")
        expect(laptop.get_by_role("status").first).to_contain_text(f"Coupon {place + 1} of")
    grades = Grade.objects.order_by("coupon__number")
    assert [each.comment for each in grades] == [f"Coupon {place}." for place in range(1, 6)]
    levels = [each.level for each in grades[0].scores.order_by("criterion__place")]
    assert levels == [3, 3, 3, 4, 2, 3, 4, 1]


@pytest.mark.django_db(transaction=True)
def test_keys_can_be_turned_off_on_a_device(
    laptop: Page, sign_in: Callable[[Page, object], None], instructor: User, coupon: Coupon
) -> None:
    sign_in(laptop, instructor)
    laptop.goto(address(coupon))
    laptop.get_by_text("Keys", exact=True).click()
    laptop.get_by_label("Keys are on, on this device").uncheck()
    laptop.reload()
    laptop.keyboard.press("j")
    laptop.keyboard.press("3")
    expect(laptop.locator("[data-rubric-row] input:checked")).to_have_count(0)
