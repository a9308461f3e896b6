"""The grading page: the coupon beside its rubric, two graders, and what was typed."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, expect
from pytest_django import DjangoAssertNumQueries

from coursework.models import Coupon, Enrolment, Exercise, Grade, User
from tests.factories import MOMENT, clean_document, grade_coupon, hand_in_coupon

type ClientOf = Callable[[User], Client]

ROWS = (
    "safety",
    "sound",
    "preparation",
    "set-up",
    "technique",
    "size-and-shape",
    "soundness",
    "self-check",
)


def address(coupon: Coupon) -> str:
    return reverse("coursework:grade", args=[coupon.public_id])


def chosen(page: Any, name: str) -> str | None:
    """Return the value of the radio that is checked."""
    for tag in re.findall(r"<input[^>]*>", page.content.decode()):
        if f'name="{name}"' in tag and " checked" in " ".join(tag.split()):
            return str(tag).partition('value="')[2].partition('"')[0]
    return None


def filled_in(coupon: Coupon, level: int = 3, **changes: Any) -> dict[str, object]:
    """Return a form with every row at one level (the gate kept), accepting the coupon."""
    rows = {f"score_{key}": level for key in ROWS} | {"score_safety": 3, "score_sound": 3}
    sent = rows | {"based_on": coupon.version, "decision": "accepted"} | changes
    return {"repeat": "The start." if sent["decision"] == "returned" else ""} | sent


def test_a_full_rubric_is_stored_as_the_grade(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    page = client_of(instructor).post(address(coupon), filled_in(coupon, comment="Good start."))
    assert page.status_code == 302
    grade = Grade.objects.get(coupon=coupon)
    assert (grade.level, grade.decision, grade.comment) == (3, "accepted", "Good start.")
    assert grade.grader == instructor
    assert grade.scores.count() == len(ROWS)
    coupon.refresh_from_db()
    assert coupon.state == Coupon.State.ACCEPTED


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"score_technique": ""}, "Choose a level."),
        ({"score_safety": ""}, "Say whether it was kept."),
        ({"score_technique": "5"}, "Choose one of the levels shown."),
        ({"decision": ""}, "Accept the coupon or return it."),
        ({"decision": "returned", "repeat": ""}, "Say what to repeat on the next coupon."),
        ({"decision": "burned"}, "Select a valid choice"),
        ({"score_safety": 1}, "look again at: Safety."),
        ({"score_preparation": 1, "score_soundness": 1}, "look again at: Preparation, Visual"),
    ],
)
def test_what_cannot_be_saved_is_said_and_nothing_typed_is_lost(
    client_of: ClientOf,
    instructor: User,
    coupon: Coupon,
    changes: dict[str, Any],
    words: str,
) -> None:
    typed = filled_in(coupon, comment="Hold the arc shorter.", **changes)
    page = client_of(instructor).post(address(coupon), typed)
    text = page.content.decode()
    assert page.status_code == 422
    assert words in text
    assert "Hold the arc shorter." in text
    assert chosen(page, "score_set-up") == "3"
    assert not Grade.objects.exists()


def test_what_does_not_pass_can_be_returned(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    typed = filled_in(coupon, level=2, decision="returned")
    assert client_of(instructor).post(address(coupon), typed).status_code == 302
    coupon.refresh_from_db()
    assert coupon.state == Coupon.State.RETURNED


def test_the_later_of_two_graders_is_told_and_keeps_what_was_typed(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    typed = filled_in(coupon, comment="Mine came second.")
    first = grade_coupon(coupon, instructor, level=4)
    page = client_of(instructor).post(address(coupon), typed)
    text = page.content.decode()
    assert page.status_code == 409
    assert f"{instructor} graded this coupon first: level 4, accepted" in text
    assert "Mine came second." in text
    assert Grade.objects.get() == first
    again = typed | {"based_on": coupon.version, "reason": "The first saw the wrong side."}
    assert client_of(instructor).post(address(coupon), again).status_code == 302
    assert [each.number for each in Grade.objects.all()] == [1, 2]


def test_a_grade_given_between_reading_and_writing_wins(
    client_of: ClientOf,
    instructor: User,
    coupon: Coupon,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from coursework.forms.grade import GradeForm

    still_valid = GradeForm.is_valid

    def graded_meanwhile(form: GradeForm) -> bool:
        grade_coupon(Coupon.objects.get(), instructor, level=4)
        return still_valid(form)

    monkeypatch.setattr(GradeForm, "is_valid", graded_meanwhile)
    page = client_of(instructor).post(address(coupon), filled_in(coupon))
    assert page.status_code == 409
    assert "graded this coupon first: level 4" in page.content.decode()
    assert Grade.objects.count() == 1


def test_pressing_save_twice_is_saving_once(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    browser, typed = client_of(instructor), filled_in(coupon, comment="Even.")
    assert browser.post(address(coupon), typed).status_code == 302
    assert browser.post(address(coupon), typed).status_code == 302
    assert Grade.objects.count() == 1
    assert browser.post(address(coupon), typed | {"comment": "Odd."}).status_code == 409
    assert browser.post(address(coupon), typed | {"score_technique": 4}).status_code == 409


def test_a_coupon_corrected_meanwhile_is_shown_as_it_is_now(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    typed = filled_in(coupon)
    Coupon.objects.update(version=coupon.version + 1)
    page = client_of(instructor).post(address(coupon), typed)
    assert page.status_code == 409
    assert "corrected this coupon after you opened it" in page.content.decode()
    assert f'name="based_on" value="{coupon.version + 1}"' in page.content.decode()


def test_a_withdrawn_coupon_cannot_be_graded(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    Coupon.objects.update(state=Coupon.State.WITHDRAWN)
    browser = client_of(instructor)
    page = browser.post(address(coupon), filled_in(coupon))
    assert page.status_code == 409
    assert "withdrew this coupon" in page.content.decode()
    assert not Grade.objects.exists()
    assert 'name="decision"' not in browser.get(address(coupon)).content.decode()


@pytest.mark.parametrize("based_on", ["", "x", "-1", "9" * 40, "\x00"])
def test_a_form_that_names_no_version_is_taken_as_out_of_date(
    client_of: ClientOf, instructor: User, coupon: Coupon, based_on: str
) -> None:
    typed = filled_in(coupon, based_on=based_on)
    assert client_of(instructor).post(address(coupon), typed).status_code == 409


def test_grading_again_asks_for_a_reason_and_starts_from_the_first_grade(
    client_of: ClientOf, instructor: User, graded_coupon: Coupon
) -> None:
    browser = client_of(instructor)
    assert chosen(browser.get(address(graded_coupon)), "score_technique") == "3"
    page = browser.post(address(graded_coupon), filled_in(graded_coupon, level=4))
    assert page.status_code == 422
    assert "Say why." in page.content.decode()
    assert Grade.objects.count() == 1


def test_the_prediction_is_hidden_until_the_grade_is_saved(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    coupon = hand_in_coupon(enrolment, exercise, predicted_level=4)
    browser = client_of(instructor)
    before = browser.get(address(coupon)).content.decode()
    assert "prediction opens when the grade is saved" in before
    assert "Ansa predicted" not in before
    after = browser.post(address(coupon), filled_in(coupon), follow=True).content.decode()
    assert "Ansa predicted 4." in after
    assert "Ansa predicted" in browser.get(address(coupon)).content.decode()


def test_saving_leads_to_the_next_coupon_that_waits_and_then_to_the_queue(
    client_of: ClientOf, instructor: User, enrolment: Enrolment, exercise: Exercise
) -> None:
    first, second = (hand_in_coupon(enrolment, exercise, at=MOMENT) for _ in range(2))
    browser = client_of(instructor)
    page = browser.post(address(first), filled_in(first), follow=True)
    assert page.redirect_chain == [(address(second), 302)]
    assert "1 left." in page.content.decode()
    page = browser.post(address(second), filled_in(second))
    assert page.headers["Location"] == reverse("coursework:waiting", args=[enrolment.section_id])


def test_the_sum_so_far_follows_the_rows(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    rows = {"score_safety": 1, "score_preparation": 4}
    part = client_of(instructor).get(address(coupon), rows, headers={"HX-Request": "true"})
    text = part.content.decode()
    assert "Level 1" in text
    assert "capped by Safety" in text
    assert "2 of 8 rows" in text
    assert "<h1" not in text


@pytest.mark.django_db(transaction=True)
def test_in_the_browser_the_level_follows_every_choice(
    laptop: Page, sign_in: Callable[[Page, object], None], instructor: User, coupon: Coupon
) -> None:
    sign_in(laptop, instructor)
    laptop.goto(address(coupon))
    for key in ROWS:
        laptop.locator(f'[name="score_{key}"][value="3"]').check()
    expect(laptop.locator("#sum")).to_contain_text("Level 3 3.00 by weight")
    laptop.locator('[name="score_safety"][value="1"]').check()
    expect(laptop.locator("#sum")).to_contain_text("Level 1 3.00 by weight, capped by Safety")
    laptop.get_by_role("button", name="Accept").click()
    expect(laptop.get_by_role("alert")).to_contain_text("look again at: Safety.")
    laptop.get_by_label("What to repeat").fill("The whole bead, with the gloves on.")
    laptop.get_by_role("button", name="Return it, to be repeated").click()
    expect(laptop.get_by_role("status").first).to_contain_text("level 1, returned.")


def test_earlier_grades_can_be_read_after_a_regrade(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    grade_coupon(coupon, instructor, level=2, decision="returned", comment="Pores at the start.")
    coupon.refresh_from_db()
    browser = client_of(instructor)
    assert "Earlier grades" not in browser.get(address(coupon)).content.decode()
    browser.post(address(coupon), filled_in(coupon, reason="Looked at under a lens."))
    text = " ".join(browser.get(address(coupon)).content.decode().split())
    assert "Grade 1 by Odo Hale" in text.partition("Earlier grades")[2]
    assert "Pores at the start." in text.partition("Earlier grades")[2]
    assert "Graded again because:</b> Looked at under a lens." in text


def test_the_check_test_is_scored_only_where_the_exercise_asks_for_one(
    client_of: ClientOf, instructor: User, coupon: Coupon
) -> None:
    browser = client_of(instructor)
    assert "Destructive test" not in browser.get(address(coupon)).content.decode()
    Exercise.objects.update(check_test=Exercise.CheckTest.BREAK)
    assert "Destructive test" in browser.get(address(coupon)).content.decode()


def test_only_instructors_of_the_section_grade(
    client_of: ClientOf,
    instructor: User,
    other_instructor: User,
    coordinator: User,
    student: User,
    stranger: User,
    coupon: Coupon,
) -> None:
    people = {
        other_instructor: 404,
        coordinator: 403,
        student: 403,
        stranger: 404,
        instructor: 302,
    }
    for person, status in people.items():
        page = client_of(person).post(address(coupon), filled_in(coupon))
        assert page.status_code == status, person
        assert Grade.objects.exists() is (status == 302)


def test_the_page_costs_the_same_however_much_was_logged_and_flagged(
    client_of: ClientOf,
    instructor: User,
    enrolment: Enrolment,
    exercise: Exercise,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    seen = [{"number": "2017", "at_mm": place, "count": 3} for place in range(10, 140, 10)]
    bare = clean_document(exercise, cleaning=[], polarity="DCEN", imperfections=seen)
    browser = client_of(instructor)
    for document in (clean_document(exercise), bare):
        coupon = hand_in_coupon(enrolment, exercise, document)
        with django_assert_max_num_queries(32):
            assert browser.get(address(coupon)).status_code == 200
