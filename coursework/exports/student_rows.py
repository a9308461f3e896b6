"""Students and their exercises as rows of tables; the columns are in ``columns``."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from coursework import access, issuing, progress
from coursework.exports.columns import EXERCISES, Columns
from coursework.exports.coupon_rows import Cells, note, statements
from coursework.models import CorrectionRequest, Enrolment, IssuedRecord, Section
from coursework.progress import ExerciseProgress, State

type Requests = dict[int, list[CorrectionRequest]]

ALONE: Columns = {
    **dict.fromkeys(("school", "term", "course", "section"), ""),
    **EXERCISES,
    **dict.fromkeys(("record", "record_issue", "record_issued_on", "note"), ""),
}
"""The columns of the exercises where they are a file of their own: each row complete in itself."""


@dataclass(frozen=True, slots=True)
class Student:
    """A student of a section with how far they are; ``requests`` are those with a statement."""

    enrolment: Enrolment
    exercises: list[ExerciseProgress]
    issued: IssuedRecord | None
    requests: list[CorrectionRequest]

    @property
    def competent(self) -> int:
        return progress.competent(self.exercises)

    def about(self, exercise: int) -> list[CorrectionRequest]:
        """Return the requests about an exercise, and those about the record as a whole."""
        return [
            each
            for each in self.requests
            if each.coupon is None or each.coupon.exercise_id == exercise
        ]


def students(section: Section) -> list[Student]:
    """Return who learns or learned in a section that was found for its staff, by name."""
    return of_enrolments(access.students_ever_of(section))


def of_enrolments(found: QuerySet[Enrolment]) -> list[Student]:
    """Return students with how far they are; the same few queries for any number of them."""
    enrolments = list(found)
    states, issued = progress.states(enrolments), issuing.latest_of(enrolments)
    requests = _requests(enrolments)
    return [
        Student(each, states[each.pk], issued.get(each.pk), requests.get(each.pk, []))
        for each in enrolments
    ]


def student_rows(found: Iterable[Student], zone: ZoneInfo) -> Iterator[Cells]:
    """Yield a row for each student."""
    for each in found:
        yield (
            _who(each)
            | {
                "joined_on": _day(each.enrolment.joined_at, zone),
                "left_on": _day(each.enrolment.left_at, zone),
                "exercises": len(each.exercises),
                "exercises_competent": each.competent,
                "coupons_logged": sum(one.logged for one in each.exercises),
                "coupons_good": sum(one.good for one in each.exercises),
                "coupons_waiting": sum(one.waiting for one in each.exercises),
                "statement": statements(each.requests),
            }
            | _newest(each.issued, zone)
        )


def exercise_rows(found: Iterable[Student], zone: ZoneInfo) -> Iterator[Cells]:
    """Yield a row for each exercise of each student."""
    for student in found:
        for each in student.exercises:
            yield (
                _who(student)
                | _progress(each, zone)
                | {"statement": statements(student.about(each.exercise.pk))}
            )


def rows_alone(section: Section, found: Iterable[Student]) -> Iterator[Cells]:
    """Yield a row for each exercise of each student, complete in itself."""
    zone = section.term.school.settings.zone
    head = {
        "school": section.term.school.name,
        "term": section.term.name,
        "course": str(section.plan),
        "section": section.name,
        "note": note(),
    }
    for each in found:
        newest = _newest(each.issued, zone)
        yield from (head | row | newest for row in exercise_rows([each], zone))


def _requests(enrolments: list[Enrolment]) -> Requests:
    found: Requests = {}
    for each in CorrectionRequest.objects.filter(
        enrolment__in=enrolments, stated_at__isnull=False
    ).select_related("coupon"):
        found.setdefault(each.enrolment_id, []).append(each)
    return found


def _who(student: Student) -> Cells:
    user = student.enrolment.user
    return {"student": str(user), "student_number": user.student_number}


def _day(at: datetime | None, zone: ZoneInfo) -> date | None:
    return at.astimezone(zone).date() if at else None


def _progress(found: ExerciseProgress, zone: ZoneInfo) -> Cells:
    return {
        "exercise_number": found.exercise.place,
        "exercise": found.exercise.title,
        "state": str(State(found.state).label),
        "coupons_logged": found.logged,
        "coupons_good": found.good,
        "good_coupons_wanted": found.wanted,
        "coupons_waiting": found.waiting,
        "ready_for_sign_off": found.ready_for_sign_off,
        "signed_by": str(found.signed_by or ""),
        "signed_on": _day(found.signed_at, zone),
        "missing": found.missing,
    }


def _newest(issued: IssuedRecord | None, zone: ZoneInfo) -> Cells:
    return {
        "record": issued.code if issued else "",
        "record_issue": issued.issue if issued else None,
        "record_issued_on": _day(issued.issued_at, zone) if issued else None,
    }
