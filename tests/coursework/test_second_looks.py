"""Second gradings: drawn by chance, given blind, far ones settled by the lead."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, expect

from coursework import second_looks
from coursework.conflicts import ClosedTerm
from coursework.models import (
    Coupon,
    Enrolment,
    Exercise,
    Grade,
    SchoolSettings,
    SecondLook,
    Section,
    Term,
    User,
)
from coursework.scoring import applying
from tests.factories import (
    MOMENT,
    EnrolmentFactory,
    InstructorFactory,
    grade_coupon,
    hand_in_coupon,
    second_look_of,
)

type ClientOf = Callable[[User], Client]

LATER = MOMENT + timedelta(days=2)


@pytest.fixture
def colleague(section: Section) -> User:
    """A second instructor of the section, who is there before anything is graded."""
    user = InstructorFactory.create(school=section.term.school, last_name="Marsh")
    EnrolmentFactory.create(section=section, user=user)
    return user


@pytest.fixture
def look(section: Section, exercise: Exercise, instructor: User) -> SecondLook:
    """A coupon that another instructor graded at level 3, drawn; ``instructor`` may look."""
    return second_look_of(section, exercise)


def list_of(section: Section) -> str:
    return reverse("coursework:second_looks", args=[section.pk])


def levels(look: SecondLook, level: int) -> dict[str, int]:
    criteria = applying(look.grade.rubric_version.criteria.all(), look.coupon.exercise)
    kept = 3 if level > 1 else 1
    return {each.key: kept if each.gate else level for each in criteria}


def give(look: SecondLook, grader: User, level: int) -> SecondLook:
    return second_looks.give(look, grader=grader, scores=levels(look, level), at=LATER)


@pytest.mark.parametrize(
    ("percent", "chance", "drawn"), [(10, 0.0999, True), (10, 0.1, False), (0, 0.0, False)]
)
def test_a_share_of_graded_coupons_is_drawn(
    coupon: Coupon, instructor: User, colleague: User, percent: int, chance: float, drawn: bool
) -> None:
    SchoolSettings.objects.update(second_grading_percent=percent)
    coupon = Coupon.objects.get(pk=coupon.pk)
    assert (second_looks.draw(grade_coupon(coupon, instructor), chance) is not None) is drawn


def test_nothing_is_drawn_where_nobody_else_teaches(coupon: Coupon, instructor: User) -> None:
    assert second_looks.draw(grade_coupon(coupon, instructor), 0) is None


def test_a_further_grade_draws_nothing(coupon: Coupon, instructor: User, colleague: User) -> None:
    grade_coupon(coupon, instructor)
    again = grade_coupon(coupon, instructor, reason="Seen in daylight.")
    assert second_looks.draw(again, 0) is None


def test_a_grade_that_was_taken_back_takes_its_second_grading_along(
    coupon: Coupon, instructor: User, colleague: User
) -> None:
    taken_back = grade_coupon(coupon, instructor)
    look = second_looks.draw(taken_back, 0)
    assert look
    Grade.objects.filter(pk=taken_back.pk).update(undone_at=MOMENT)
    assert not second_looks.waiting_for(colleague, coupon.section).exists()
    anew = grade_coupon(coupon, instructor)
    assert second_looks.draw(anew, 0.999) == look
    assert second_looks.waiting_for(colleague, coupon.section).get().grade == anew


def test_it_waits_for_every_instructor_of_the_section_but_the_first_grader(
    coupon: Coupon, instructor: User, colleague: User
) -> None:
    look = second_looks.draw(grade_coupon(coupon, instructor), 0)
    assert look
    assert list(second_looks.waiting_for(colleague, coupon.section)) == [look]
    assert list(second_looks.waiting_for(instructor, coupon.section)) == []
    with pytest.raises(second_looks.OwnGrade):
        give(look, instructor, 3)


def test_it_is_given_once_and_changes_no_grade(
    look: SecondLook, instructor: User, colleague: User
) -> None:
    before = Coupon.objects.values().get(pk=look.coupon_id)
    given = give(look, instructor, 2)
    assert (given.level, given.grader) == (2, instructor)
    assert given.scores.count() == len(levels(look, 2))
    with pytest.raises(second_looks.GivenMeanwhile, match="Odo Hale"):
        give(SecondLook.objects.get(pk=look.pk), colleague, 4)
    assert SecondLook.objects.get(pk=look.pk).level == 2
    assert Coupon.objects.values().get(pk=look.coupon_id) == before


def test_a_row_without_a_level_is_refused(look: SecondLook, instructor: User) -> None:
    scores = levels(look, 3)
    scores.pop("technique")
    with pytest.raises(ValueError, match="no level yet"):
        second_looks.give(look, grader=instructor, scores=scores, at=LATER)
    given = second_looks.give(
        look, grader=instructor, scores=scores, left_out={"technique"}, at=LATER
    )
    assert given.level == 3


def test_a_closed_term_takes_none(look: SecondLook, instructor: User) -> None:
    Term.objects.update(closed_at=MOMENT)
    with pytest.raises(ClosedTerm):
        give(SecondLook.objects.get(pk=look.pk), instructor, 3)


@pytest.mark.postgres
@pytest.mark.parametrize(("level", "far"), [(1, True), (2, False), (3, False), (4, False)])
def test_more_than_one_level_apart_is_for_the_lead(
    look: SecondLook, instructor: User, level: int, far: bool
) -> None:
    give(look, instructor, level)
    assert second_looks.far_apart(look.coupon.section).exists() is far


def test_the_page_shows_nothing_of_the_first_grade_or_the_prediction(
    client_of: ClientOf, look: SecondLook, instructor: User
) -> None:
    Grade.objects.filter(pk=look.grade_id).update(comment="Even ripples.", level=4)
    text = client_of(instructor).get(f"/second/{look.pk}/").content.decode()
    for hidden in (str(look.grade.grader), "Even ripples.", "accepted"):
        assert hidden not in text
    assert " checked" not in text.partition("data-keys-on")[0]
    assert f"/coupons/{look.coupon.public_id}/" not in text
    assert "level wanted" not in text
    assert 'class="level"' not in text


def typed(look: SecondLook, level: int, **changes: object) -> dict[str, object]:
    rows = {f"score_{key}": value for key, value in levels(look, level).items()}
    return rows | {"comment": "Undercut at 40 mm."} | changes


def test_saving_shows_both_levels_and_what_cannot_be_read_is_kept(
    client_of: ClientOf, look: SecondLook, instructor: User
) -> None:
    browser = client_of(instructor)
    refused = browser.post(f"/second/{look.pk}/", typed(look, 2, score_technique=""))
    assert refused.status_code == 422
    assert "Undercut at 40 mm." in refused.content.decode()
    assert "Choose a level." in refused.content.decode()
    nothing = {f"score_{k}": 0 for k in levels(look, 2)} | {"score_safety": 3, "score_sound": 3}
    refused = browser.post(f"/second/{look.pk}/", nothing)
    assert "Score at least one row that has a weight." in refused.content.decode()
    saved = browser.post(f"/second/{look.pk}/", typed(look, 2), follow=True)
    assert "gave level 3, you gave 2." in saved.content.decode()
    again = browser.get(f"/second/{look.pk}/").content.decode()
    assert "This coupon has been graded a second time." in again
    assert str(look.grade.grader) in again


@pytest.mark.django_db(transaction=True)
def test_a_second_grading_is_given_by_keyboard_alone(
    laptop: Page, sign_in: Callable[[Page, object], None], look: SecondLook, instructor: User
) -> None:
    sign_in(laptop, instructor)
    laptop.goto(f"/second/{look.pk}/")
    for digit in "33342341":
        laptop.keyboard.press("j")
        laptop.keyboard.press(digit)
    laptop.keyboard.press("c")
    laptop.keyboard.type("Undercut at 40 mm.")
    laptop.keyboard.press("Control+Enter")
    expect(laptop.get_by_role("status").first).to_contain_text("gave level 3, you gave 3.")
    look.refresh_from_db()
    assert (look.grader, look.comment) == (instructor, "Undercut at 40 mm.")
    levels = [each.level for each in look.scores.order_by("criterion__place")]
    assert levels == [3, 3, 3, 4, 2, 3, 4, 1]


def test_whoever_comes_second_is_told_who_was_first(
    client_of: ClientOf,
    look: SecondLook,
    instructor: User,
    colleague: User,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    given = second_looks.give
    first = SecondLook.objects.get(pk=look.pk)

    def late(*args: Any, **said: Any) -> SecondLook:
        given(first, grader=colleague, scores=levels(look, 4), at=LATER)
        return given(*args, **said)

    monkeypatch.setattr(second_looks, "give", late)
    answer = client_of(instructor).post(f"/second/{look.pk}/", typed(look, 2))
    assert answer.status_code == 409
    assert "has given this second grading" in answer.content.decode()
    assert "Undercut at 40 mm." in answer.content.decode()


def test_the_first_grader_and_other_sections_do_not_get_in(
    client_of: ClientOf, look: SecondLook, other_instructor: User, coordinator: User
) -> None:
    address = f"/second/{look.pk}/"
    assert client_of(look.grade.grader).get(address).status_code == 403
    assert client_of(coordinator).get(address).status_code == 403
    assert client_of(other_instructor).get(address).status_code == 404


def test_the_lead_settles_a_difference_once_and_nobody_else_does(
    client_of: ClientOf, look: SecondLook, instructor: User, colleague: User
) -> None:
    section = look.coupon.section
    give(look, instructor, 1)
    assert "No lead instructor is named" in client_of(instructor).get(list_of(section)).text
    Enrolment.objects.filter(user=colleague).update(lead=True)
    sent = {"look": look.pk}
    assert client_of(instructor).post(list_of(section), sent).status_code == 403
    browser = client_of(colleague)
    assert "Settled" in browser.get(list_of(section)).text
    assert browser.post(list_of(section), {"look": "x"}).status_code == 409
    assert browser.post(list_of(section), sent).status_code == 302
    look.refresh_from_db()
    assert (look.settled_by, look.level) == (colleague, 1)
    assert "None." in browser.get(list_of(section)).text
    again = browser.post(list_of(section), sent)
    assert (again.status_code, "settled already" in again.text) == (409, True)


def test_the_list_names_what_waits(client_of: ClientOf, look: SecondLook, instructor: User) -> None:
    browser = client_of(instructor)
    section = look.coupon.section
    assert f"/second/{look.pk}/" in browser.get(list_of(section)).text
    give(look, instructor, 3)
    assert f"/second/{look.pk}/" not in browser.get(list_of(section)).text


def test_a_withdrawn_coupon_waits_for_nobody(
    look: SecondLook, instructor: User, exercise: Exercise
) -> None:
    Coupon.objects.filter(pk=look.coupon_id).update(state=Coupon.State.WITHDRAWN)
    hand_in_coupon(look.coupon.enrolment, exercise)
    assert not second_looks.waiting_for(instructor, look.coupon.section).exists()
