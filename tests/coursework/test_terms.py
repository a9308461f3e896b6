"""A term is opened, closed and opened again; in a closed one nothing changes any more."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from coursework import grading, hand_in, moving, sign_offs, terms
from coursework.conflicts import ClosedTerm
from coursework.models import Coupon, Enrolment, Exercise, Grade, Section, SignOff, Term, User
from tests.coursework.posting import typed_coupon
from tests.factories import MOMENT, grade_coupon, hand_in_coupon

pytestmark = pytest.mark.django_db

SENTENCE = "is closed: nothing is handed in, graded or changed in it any more."


@pytest.fixture
def closed(section: Section, coupon: Coupon) -> Term:
    """Close the term of ``section``, in which ``coupon`` waits for a grade."""
    terms.close(section.term, by=None, at=MOMENT)
    return section.term


@pytest.fixture
def closed_coupon(coupon: Coupon, closed: Term) -> Coupon:
    """Give the coupon as a page reads it."""
    return Coupon.objects.get(pk=coupon.pk)


def scores_of(coupon: Coupon) -> dict[str, int]:
    version = coupon.exercise.rubric.current()
    return {each.key: 3 for each in version.criteria.filter(check_test=False)}


def grade(coupon: Coupon, grader: User) -> Grade:
    scores = scores_of(coupon)
    version = coupon.exercise.rubric.current()
    return grading.grade_coupon(
        coupon,
        based_on=coupon.version,
        grader=grader,
        rubric_version=version,
        scores=scores,
        left_out=(),
        decision=Grade.Decision.ACCEPTED,
        at=MOMENT,
    )


class TestStateChanges:
    """Closed once, opened again."""

    def test_the_first_moment_of_closing_stays(self, section: Section) -> None:
        terms.close(section.term, by=None, at=MOMENT)
        terms.close(section.term, by=None, at=MOMENT + timedelta(days=1))
        assert section.term.closed_at == MOMENT

    def test_what_was_refused_goes_after_it_is_opened_again(
        self, closed_coupon: Coupon, closed: Term, instructor: User
    ) -> None:
        terms.reopen(closed, by=None)
        coupon = Coupon.objects.get(pk=closed_coupon.pk)
        assert grade(coupon, instructor).level == 3

    def test_closing_says_what_waits_and_what_is_held(
        self, section: Section, enrolment: Enrolment, exercise: Exercise, instructor: User
    ) -> None:
        hand_in_coupon(enrolment, exercise)
        hand_in_coupon(enrolment, exercise)
        held = hand_in_coupon(enrolment, exercise)
        Coupon.objects.filter(pk=held.pk).update(state=Coupon.State.HELD)
        grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
        (waiting,) = terms.still_waiting(section.term)
        assert (waiting.section, waiting.ungraded, waiting.held) == (section, 2, 1)


class TestClosed:
    """Every state change refuses, and changes no row."""

    @pytest.mark.usefixtures("closed")
    def test_hand_in(self, enrolment: Enrolment, exercise: Exercise) -> None:
        with pytest.raises(ClosedTerm, match=SENTENCE):
            hand_in_coupon(enrolment, exercise)
        assert Coupon.objects.count() == 1

    def test_correct(self, closed_coupon: Coupon, student: User) -> None:
        assert closed_coupon.facts
        statement = hand_in.Statement(document=closed_coupon.facts.document())
        with pytest.raises(ClosedTerm):
            hand_in.correct(closed_coupon, statement, based_on=1, user=student, at=MOMENT)
        assert closed_coupon.all_facts.count() == 1

    def test_withdraw(self, closed_coupon: Coupon) -> None:
        with pytest.raises(ClosedTerm):
            hand_in.withdraw(closed_coupon, based_on=1, by=closed_coupon.enrolment.user)
        closed_coupon.refresh_from_db()
        assert closed_coupon.is_open

    def test_grade(self, closed_coupon: Coupon, instructor: User) -> None:
        with pytest.raises(ClosedTerm):
            grade(closed_coupon, instructor)
        assert not Grade.objects.exists()

    def test_take_back(self, section: Section, coupon: Coupon, instructor: User) -> None:
        grade(coupon, instructor)
        terms.close(section.term, by=None, at=MOMENT)
        with pytest.raises(ClosedTerm):
            grading.take_back(Coupon.objects.get(pk=coupon.pk), by=instructor, at=MOMENT)
        assert Grade.objects.get().undone_at is None

    def test_sign_off(
        self, section: Section, enrolment: Enrolment, exercise: Exercise, instructor: User
    ) -> None:
        for _time in range(exercise.good_coupons_wanted):
            grade_coupon(hand_in_coupon(enrolment, exercise), instructor)
        terms.close(section.term, by=None, at=MOMENT)
        here = Enrolment.objects.get(pk=enrolment.pk)
        with pytest.raises(ClosedTerm):
            sign_offs.sign_off(here, exercise, by=instructor, at=MOMENT)
        assert not SignOff.objects.exists()

    @pytest.mark.usefixtures("closed")
    def test_move(self, enrolment: Enrolment, other_section: Section, coordinator: User) -> None:
        with pytest.raises(ClosedTerm):
            moving.move(enrolment, other_section, by=coordinator, reason="", at=MOMENT)

    def test_a_new_section(self, closed: Term, section: Section) -> None:
        with pytest.raises(ClosedTerm):
            terms.open_section(
                closed, section.plan, name="C", instructors=[], lead=None, by=None, at=MOMENT
            )

    def test_the_same_coupon_sent_again_is_still_answered(
        self, closed_coupon: Coupon, enrolment: Enrolment, exercise: Exercise
    ) -> None:
        assert closed_coupon.facts
        again, new = hand_in.hand_in(
            enrolment,
            exercise,
            hand_in.Statement(document=closed_coupon.facts.document()),
            client_id=closed_coupon.client_id,
            content_hash=closed_coupon.content_hash,
            photos=(),
            at=MOMENT,
        )
        assert (again, new) == (closed_coupon, False)


class TestClosedPages:
    """Every page says so in one sentence, with 409, and keeps what was typed."""

    @pytest.mark.usefixtures("closed")
    def test_logging(self, client: Client, student: User, exercise: Exercise) -> None:
        client.force_login(student)
        address = f"/bench/{exercise.pk}/log/"
        assert SENTENCE in client.get(address).text
        answer = client.post(address, typed_coupon(current_a="137"))
        assert answer.status_code == 409
        assert SENTENCE in answer.text
        assert 'value="137"' in answer.text
        assert Coupon.objects.count() == 1

    @pytest.mark.parametrize("method", ["get", "post"])
    def test_correcting(
        self, client: Client, closed_coupon: Coupon, student: User, method: str
    ) -> None:
        client.force_login(student)
        address = f"/coupons/{closed_coupon.public_id}/correct/"
        answer = getattr(client, method)(address, typed_coupon(based_on="1"))
        assert answer.status_code == 409
        assert SENTENCE in answer.text

    def test_the_bench(self, client: Client, closed_coupon: Coupon, student: User) -> None:
        client.force_login(student)
        page = client.get("/bench/").text
        assert "The term is closed." in page
        assert f"/bench/{closed_coupon.exercise_id}/log/" not in page

    def test_the_coupon_offers_no_change(
        self, client: Client, closed_coupon: Coupon, student: User
    ) -> None:
        client.force_login(student)
        page = client.get(f"/coupons/{closed_coupon.public_id}/").text
        assert "Correct this coupon" not in page

    def test_withdrawing(self, client: Client, closed_coupon: Coupon, student: User) -> None:
        client.force_login(student)
        answer = client.post(f"/coupons/{closed_coupon.public_id}/withdraw/", {"based_on": "1"})
        assert answer.status_code == 409
        assert SENTENCE in answer.text

    def test_grading_keeps_the_comment(
        self, client: Client, closed_coupon: Coupon, instructor: User
    ) -> None:
        client.force_login(instructor)
        scores = {f"score_{key}": str(level) for key, level in scores_of(closed_coupon).items()}
        typed = {"based_on": "1", "decision": "accepted", "comment": "Hold it shorter."}
        answer = client.post(f"/coupons/{closed_coupon.public_id}/grade/", scores | typed)
        assert answer.status_code == 409
        assert SENTENCE in answer.text
        assert "Hold it shorter." in answer.text

    def test_taking_back(self, client: Client, closed_coupon: Coupon, instructor: User) -> None:
        client.force_login(instructor)
        address = f"/coupons/{closed_coupon.public_id}/take-back/"
        assert SENTENCE in client.post(address, follow=True).text

    @pytest.mark.usefixtures("closed")
    def test_signing_off(
        self, client: Client, enrolment: Enrolment, exercise: Exercise, instructor: User
    ) -> None:
        client.force_login(instructor)
        answer = client.post(f"/students/{enrolment.pk}/exercises/{exercise.pk}/sign-off/")
        assert answer.status_code == 409
        assert SENTENCE in answer.text

    @pytest.mark.parametrize(
        ("who", "address"),
        [
            ("coordinator", "/students/{enrolment}/move/"),
            ("coordinator", "/office/terms/{term}/sections/new/"),
            ("instructor", "/sections/{section}/log/"),
            ("instructor", "/students/{enrolment}/exercises/{exercise}/log/"),
        ],
    )
    def test_the_office(
        self,
        client_of: Callable[[User], Client],
        request: pytest.FixtureRequest,
        closed: Term,
        section: Section,
        enrolment: Enrolment,
        exercise: Exercise,
        who: str,
        address: str,
    ) -> None:
        client = client_of(request.getfixturevalue(who))
        parts: dict[str, Any] = {
            "enrolment": enrolment.pk,
            "term": closed.pk,
            "section": section.pk,
            "exercise": exercise.pk,
        }
        answer = client.get(address.format(**parts))
        assert answer.status_code == 409
        assert SENTENCE in answer.text


class TestPages:
    """The coordinator opens, closes and opens again."""

    @pytest.fixture
    def office(self, client: Client, coordinator: User) -> Client:
        client.force_login(coordinator)
        return client

    def test_a_term_is_opened(self, office: Client, coordinator: User) -> None:
        typed = {"name": "Spring 2027", "starts_on": "2027-01-11", "ends_on": "2027-04-30"}
        answer = office.post("/office/terms/new/", typed)
        term = Term.objects.get(name="Spring 2027")
        assert answer.headers["Location"] == f"/office/terms/{term.pk}/"
        assert term.school == coordinator.school

    @pytest.mark.parametrize(
        ("changes", "sentence"),
        [
            ({"ends_on": "2027-01-11"}, "The last day comes after the first."),
            ({"starts_on": "11.1.27"}, "Type the day like 2026-08-24."),
            ({"name": "Fall 2026"}, "There is a term of this name already."),
        ],
    )
    @pytest.mark.usefixtures("section")
    def test_what_cannot_be_a_term_is_said(
        self, office: Client, changes: dict[str, str], sentence: str
    ) -> None:
        typed = {"name": "Spring 2027", "starts_on": "2027-01-11", "ends_on": "2027-04-30"}
        answer = office.post("/office/terms/new/", typed | changes)
        assert answer.status_code == 422
        assert sentence in answer.text
        assert f'value="{(typed | changes)["name"]}"' in answer.text
        assert Term.objects.count() == 1

    def test_a_term_gets_other_days(self, office: Client, section: Section) -> None:
        typed = {"name": "Autumn", "starts_on": "2026-08-31", "ends_on": "2026-12-01"}
        office.post(f"/office/terms/{section.term_id}/", typed)
        term = Term.objects.get()
        assert (term.name, str(term.starts_on), str(term.ends_on)) == tuple(typed.values())

    @pytest.mark.usefixtures("coupon")
    def test_closing_shows_what_waits_then_closes(self, office: Client, section: Section) -> None:
        address = f"/office/terms/{section.term_id}/close/"
        assert "1 ungraded, 0 held" in office.get(address).text
        assert Term.objects.get().closed_at is None
        office.post(address)
        assert Term.objects.get().closed_at is not None
        office.post(f"/office/terms/{section.term_id}/reopen/")
        assert Term.objects.get().closed_at is None
