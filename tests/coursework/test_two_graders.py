"""Two graders of one coupon, by schedules drawn at random: no grade is lost, none is doubled.

A grader loads the page, types, saves, saves again, takes back, regrades, releases; the steps of two
of them interleave at random. On SQLite a step is done before the next begins; on PostgreSQL the
steps of a moment are taken at once, by threads with connections of their own.

No outside source is needed: what was answered is held against the rows of the table. A grade counts
as lost where another one overruled it whose grader had not been shown it: both were saved upon one
version of the coupon. The control takes the check of the version out, and loses some.

All schedules run by the functions; a share of them, and with ``--long`` all, by the pages.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from itertools import pairwise

import pytest
from django.db.models import QuerySet
from django.test import Client

from coursework import grading
from coursework.models import Coupon, Enrolment, Exercise, Grade, User
from tests.conftest import ON_POSTGRESQL
from tests.coursework.grading_schedules import Grader, GraderAtPages, Shop, Written
from tests.coursework.test_grade import ROWS
from tests.factories import EnrolmentFactory, InstructorFactory, hand_in_coupon

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=ON_POSTGRESQL)]

SCHEDULES = 200
BY_PAGES = 12

type Run = tuple[Coupon, list[Grader]]


@pytest.fixture
def graders(instructor: User, enrolment: Enrolment) -> list[User]:
    """The two instructors of the section."""
    names = {"first_name": "Ines", "last_name": "Rowe"}
    colleague = InstructorFactory.create(school=instructor.school, **names)
    EnrolmentFactory.create(section=enrolment.section, user=colleague)
    return [instructor, colleague]


@pytest.fixture
def by_functions(graders: list[User]) -> Iterator[Shop]:
    """Both grading by the functions that the pages call."""
    with closing(Shop(Grader, graders)) as shop:
        yield shop


@pytest.fixture
def by_pages(
    graders: list[User], client_of: Callable[[User], Client], monkeypatch: pytest.MonkeyPatch
) -> Iterator[Shop]:
    """Both grading in browsers of their own."""
    browsers = {each.pk: client_of(each) for each in graders}
    monkeypatch.setattr(GraderAtPages, "browsers", browsers)
    with closing(Shop(GraderAtPages, graders)) as shop:
        yield shop


@pytest.fixture
def coupons(enrolment: Enrolment, exercise: Exercise) -> Iterator[Coupon]:
    """Coupons as they are handed in, one after the other."""
    return iter(lambda: hand_in_coupon(enrolment, exercise), None)


def overruled_unseen(coupon: Coupon, graders: list[Grader]) -> list[Grade]:
    """Return the grades that a later one was put upon by somebody who had not been shown them."""
    saved = {words: each for grader in graders for words, each in grader.saved.items()}
    grades = list(coupon.grades.order_by("number"))
    return [
        first
        for first, second in pairwise(grades)
        if saved[second.comment].based_on <= saved[first.comment].based_on
    ]


def nothing_is_lost_or_doubled(coupon: Coupon, graders: list[Grader]) -> None:
    grades = list(coupon.grades.select_related("grader").order_by("number"))
    stored = [(each.grader, each.comment, each.level, each.decision) for each in grades]
    answered = [
        (grader.user, each.words, each.level, each.decision)
        for grader in graders
        for each in grader.saved.values()
    ]
    assert len(stored) == len(answered)
    assert set(stored) == set(answered)
    assert [each.number for each in grades] == [*range(1, len(grades) + 1)]
    assert all(each.scores.count() == len(ROWS) for each in grades)
    assert overruled_unseen(coupon, graders) == []


def one_grade_counts(coupon: Coupon, graders: list[Grader]) -> None:
    taken_back = Counter(each.grader for each in coupon.grades.exclude(undone_at=None))
    assert taken_back == Counter({each.user: each.taken_back for each in graders})
    newest = coupon.grades.filter(undone_at=None).order_by("number").last()
    known = newest if newest and newest.released_at else None
    assert coupon.grade == known
    assert coupon.state == ((known.decision if known else "held") if newest else "handed_in")
    changes = [len(each.saved) + each.taken_back + each.released for each in graders]
    assert coupon.version == 1 + sum(changes)


def hold(shop: Shop, coupons: Iterator[Coupon], schedules: int) -> None:
    """Run schedules, see that each ends well, and that they have all of it in them."""
    seen: Counter[str] = Counter()
    for seed in range(schedules):
        coupon = next(coupons)
        graders = shop.run(seed, coupon)
        nothing_is_lost_or_doubled(coupon, graders)
        one_grade_counts(coupon, graders)
        for each in graders:
            seen.update(saved=len(each.saved), told=each.told)
            seen.update(taken_back=each.taken_back, released=each.released)
        seen.update(regraded=coupon.grades.count() > 1)
    assert min(seen[each] for each in ("saved", "told", "regraded", "taken_back", "released")) > 0


def test_of_two_graders_no_grade_is_lost_and_none_is_doubled(
    by_functions: Shop, coupons: Iterator[Coupon]
) -> None:
    hold(by_functions, coupons, SCHEDULES)


def test_at_the_pages_the_loser_is_told_who_was_first_and_loses_nothing_typed(
    by_pages: Shop, coupons: Iterator[Coupon], pytestconfig: pytest.Config
) -> None:
    hold(by_pages, coupons, SCHEDULES if pytestconfig.getoption("--long") else BY_PAGES)


# --- the control


class Unchecked(Grader):
    """One whom nothing tells of the other, but for the reason that a further grade wants."""

    def send(self, written: Written) -> bool:
        try:
            return super().send(written)
        except ValueError:
            self.load()
            return False


def whatever_was_seen(coupon: Coupon, _based_on: int) -> QuerySet[Coupon]:
    """Stand in for the check of the version: any coupon is as it was."""
    return Coupon.objects.filter(pk=coupon.pk)


def one_is_lost(shop: Shop, coupons: Iterator[Coupon]) -> bool:
    """Return whether a grade is lost in one of the schedules."""
    runs = (next(coupons) for _each in range(SCHEDULES))
    return any(overruled_unseen(each, shop.run(seed, each)) for seed, each in enumerate(runs))


def test_without_the_check_of_the_version_the_same_schedules_lose_grades(
    by_functions: Shop, coupons: Iterator[Coupon], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(grading, "as_seen", whatever_was_seen)
    by_functions.kind = Unchecked
    assert one_is_lost(by_functions, coupons)


def test_without_the_check_of_the_version_the_pages_lose_grades_too(
    by_pages: Shop, coupons: Iterator[Coupon], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(grading, "as_seen", whatever_was_seen)
    for browser in GraderAtPages.browsers.values():
        browser.raise_request_exception = False
    assert one_is_lost(by_pages, coupons)
