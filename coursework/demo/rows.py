"""Rows of grades and of second gradings, made of what the story tells."""

from collections.abc import Iterator
from datetime import datetime, time
from typing import Final

from django.db import models

from coursework.demo.calendar import Calendar
from coursework.demo.grades import Mark
from coursework.demo.story import Draft
from coursework.models import Coupon, Grade, Score, SecondLook, SecondScore

BATCH: Final = 2000

type Pairs = list[tuple[Coupon, Draft]]


def create[Row: models.Model](model: type[Row], rows: list[Row]) -> None:
    """Store rows in batches."""
    model._default_manager.bulk_create(rows, batch_size=BATCH)


def store_grades(pairs: Pairs) -> None:
    """Store the grades of coupons with their scores."""
    grades: list[Grade] = []
    scores: list[Score] = []
    for coupon, draft in pairs:
        for number, mark in enumerate(draft.marks, start=1):
            grade = Grade(
                coupon=coupon,
                number=number,
                facts=coupon.facts,
                rubric_version=mark.version,
                grader=mark.grader,
                graded_at=mark.at,
                decision=mark.decision,
                level=mark.outcome.level,
                weighted=mark.outcome.weighted,
                capped_by=mark.outcome.capped_by,
                comment=mark.comment,
                reason=mark.reason,
                released_at=mark.at,
            )
            grades.append(grade)
            scores += [
                Score(grade=grade, criterion=each, level=mark.scores[each.key])
                for each in mark.criteria
            ]
    create(Grade, grades)
    create(Score, scores)


def store_second_looks(pairs: Pairs, calendar: Calendar) -> None:
    """Store what was drawn for a second grading; what was drawn of late still waits for it."""
    now = calendar.at(calendar.today, time.min)
    drawn = [(coupon, draft.second) for coupon, draft in pairs if draft.marks and draft.second]
    firsts = {
        each.coupon_id: each
        for each in Grade.objects.filter(coupon__in=[coupon for coupon, _mark in drawn], number=1)
    }
    looks = [_look(firsts[coupon.pk], mark, now) for coupon, mark in drawn]
    create(SecondLook, looks)
    scores = zip(looks, (mark for _coupon, mark in drawn), strict=True)
    create(SecondScore, [score for look, mark in scores for score in _scores(look, mark)])


def _look(first: Grade, second: Mark, now: datetime) -> SecondLook:
    look = SecondLook(coupon_id=first.coupon_id, grade=first, drawn_at=first.graded_at)
    if second.at < now:
        look.grader, look.graded_at = second.grader, second.at
        look.level, look.comment = second.outcome.level, second.comment
    return look


def _scores(look: SecondLook, mark: Mark) -> Iterator[SecondScore]:
    if look.graded_at:
        for each in mark.criteria:
            yield SecondScore(second_look=look, criterion=each, level=mark.scores[each.key])
