"""A section as a OneRoster 1.2 gradebook: who is in it, its exercises, how far everybody is.

An exercise is a line item; its result is the best level that was given, and how far the student
is in it. The competency that it teaches is the learning objective of both. Source of files, columns
and values: see ``coursework.oneroster_tables``.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db.models import Max

from coursework import access, sourced_ids
from coursework.exports.coupon_rows import note, statements
from coursework.exports.student_rows import Student, of_enrolments
from coursework.models import Coupon, Enrolment, Exercise, Section
from coursework.progress import ExerciseProgress, State

type Record = dict[str, str]
type Files = dict[str, list[Record]]
type _Given = dict[tuple[int, int], tuple[int | None, datetime | None, datetime]]

# In the northern half of the world a school year begins in July at the earliest: common practice.
FIRST_MONTH: Final = 7
LOWEST, HIGHEST = "1.0", "4.0"
# No character that breaks a line or cannot be shown may stand in a field.
BREAKS: Final = re.compile("[\0-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufffe\uffff]+")


def one_line(text: str) -> str:
    """Return text as a field of the set holds it: exact, but on one line."""
    return BREAKS.sub(" ", text)


def school_year(starts_on: date) -> int:
    """Return the year in which the school year of a term ends.

    >>> school_year(date(2026, 8, 24)), school_year(date(2027, 1, 11))
    (2027, 2027)
    """
    return starts_on.year + (starts_on.month >= FIRST_MONTH)


@dataclass(frozen=True, slots=True)
class _Ids:
    """The ids of one section's set."""

    section: Section

    def of(self, kind: str, *keys: int) -> str:
        return sourced_ids.of(self.section.term.school, kind, *keys)

    @property
    def org(self) -> str:
        return self.of("school", self.section.term.school_id)

    @property
    def term(self) -> str:
        return self.of("term", self.section.term_id)

    @property
    def course(self) -> str:
        return self.of("plan", self.section.plan_id)

    @property
    def section_id(self) -> str:
        return sourced_ids.of_section(self.section)

    @property
    def category(self) -> str:
        return self.of("category", self.section.term.school_id)

    def person(self, enrolment: Enrolment) -> str:
        return sourced_ids.of_person(self.section.term.school, enrolment.user)

    def line_item(self, exercise: Exercise) -> str:
        return self.of("line-item", self.section.pk, exercise.pk)


def files(section: Section) -> Files:
    """Return the rows of every file of the set, with the values that are not empty.

    Parameters
    ----------
    section : Section
        With its plan, term, school and settings at hand, as ``access`` gives it. Who left it is
        not in the set: a roster says who is there.
    """
    ids = _Ids(section)
    students = of_enrolments(access.students_ever_of(section).filter(left_at=None))
    people = [*(each.enrolment for each in students), *access.teachers_of(section)]
    exercises = {one.exercise.pk: one.exercise for each in students for one in each.exercises}
    results = list(_results(ids, students))
    return _place(ids) | {
        "users": [_user(ids, each) for each in people],
        "roles": [_role(ids, each) for each in people],
        "enrollments": [_enrollment(ids, each) for each in people],
        "lineItems": [_line_item(ids, each) for each in exercises.values()],
        "lineItemLearningObjectiveIds": [_objective(ids, each) for each in exercises.values()],
        "results": [result for result, _reached in results],
        "resultLearningObjectiveIds": [reached for _result, reached in results],
    }


def _place(ids: _Ids) -> Files:
    section = ids.section
    term, school, plan = section.term, section.term.school, section.plan
    return {
        "orgs": [{"sourcedId": ids.org, "name": _title(school.name), "type": "school"}],
        "academicSessions": [
            {
                "sourcedId": ids.term,
                "title": _title(term.name),
                "type": "term",
                "startDate": term.starts_on.isoformat(),
                # The first day that is no longer in it.
                "endDate": (term.ends_on + timedelta(days=1)).isoformat(),
                "schoolYear": str(school_year(term.starts_on)),
            }
        ],
        "courses": [
            {
                "sourcedId": ids.course,
                "title": _title(plan.title),
                "courseCode": one_line(plan.code),
                "orgSourcedId": ids.org,
            }
        ],
        "classes": [
            {
                "sourcedId": ids.section_id,
                "title": _title(str(section)),
                "courseSourcedId": ids.course,
                "classCode": one_line(f"{plan.code} {section.name}"),
                "classType": "scheduled",
                "schoolSourcedId": ids.org,
                "termSourcedIds": ids.term,
            }
        ],
        "categories": [{"sourcedId": ids.category, "title": "Practice coupons"}],
    }


def _title(text: str) -> str:
    return one_line(text).strip() or "-"


def _user(ids: _Ids, enrolment: Enrolment) -> Record:
    user = enrolment.user
    return {
        "sourcedId": ids.person(enrolment),
        "enabledUser": _truth(user.is_active),
        "username": user.username,
        "givenName": one_line(user.first_name).strip() or user.username,
        "familyName": one_line(user.last_name).strip() or user.username,
        "identifier": one_line(user.student_number),
        "primaryOrgSourcedId": ids.org,
    }


def _role(ids: _Ids, enrolment: Enrolment) -> Record:
    return {
        "sourcedId": ids.of("role", enrolment.user_id),
        "userSourcedId": ids.person(enrolment),
        "roleType": "primary",
        "role": _role_of(enrolment),
        "orgSourcedId": ids.org,
    }


def _role_of(enrolment: Enrolment) -> str:
    return "student" if enrolment.role == Enrolment.Role.STUDENT else "teacher"


def _enrollment(ids: _Ids, enrolment: Enrolment) -> Record:
    zone = ids.section.term.school.settings.zone
    return {
        "sourcedId": ids.of("enrolment", enrolment.pk),
        "classSourcedId": ids.section_id,
        "schoolSourcedId": ids.org,
        "userSourcedId": ids.person(enrolment),
        "role": _role_of(enrolment),
        "primary": _truth(enrolment.lead),
        "beginDate": enrolment.joined_at.astimezone(zone).date().isoformat(),
    }


def _truth(yes: bool) -> str:
    return "true" if yes else "false"


def _line_item(ids: _Ids, exercise: Exercise) -> Record:
    term = ids.section.term
    due = term.ends_on
    if exercise.due_week:
        due = min(due, term.starts_on + timedelta(weeks=exercise.due_week, days=-1))
    return {
        "sourcedId": ids.line_item(exercise),
        "title": _title(str(exercise)),
        "description": note(),
        "assignDate": term.starts_on.isoformat(),
        "dueDate": due.isoformat(),
        "classSourcedId": ids.section_id,
        "categorySourcedId": ids.category,
        "academicSessionSourcedId": ids.term,
        "resultValueMin": LOWEST,
        "resultValueMax": HIGHEST,
        "schoolSourcedId": ids.org,
    }


def _objective(ids: _Ids, exercise: Exercise) -> Record:
    return {
        "sourcedId": ids.of("line-item-objective", ids.section.pk, exercise.pk),
        "lineItemSourcedId": ids.line_item(exercise),
        "source": "unknown",
        "learningObjectiveId": ids.of("exercise", exercise.pk),
    }


def _results(ids: _Ids, students: list[Student]) -> Iterator[tuple[Record, Record]]:
    """Yield what came of each exercise that was begun, and how far its competency is reached."""
    given = _given(ids.section)
    for student in students:
        for each in student.exercises:
            if row := given.get((student.enrolment.pk, each.exercise.pk)):
                yield _result(ids, student, each, *row), _reached(ids, student, each)


def _given(section: Section) -> _Given:
    """Return the best level, the last grade and the last hand-in by student and exercise."""
    kept = access.coupons_of(section).exclude(state=Coupon.State.WITHDRAWN).order_by()
    rows: Any = kept.values_list("enrolment_id", "exercise_id").annotate(
        Max("grade__level"), Max("grade__graded_at"), Max("handed_in_at")
    )
    return {(enrolment, exercise): (*rest,) for enrolment, exercise, *rest in rows}


def _result(
    ids: _Ids,
    student: Student,
    found: ExerciseProgress,
    level: int | None,
    graded_at: datetime | None,
    handed_in_at: datetime,
) -> Record:
    exercise, zone = found.exercise, ids.section.term.school.settings.zone
    said = [f"{found.good_of_wanted}.", statements(student.about(exercise.pk))]
    return {
        "sourcedId": _result_id(ids, student, exercise),
        "lineItemSourcedId": ids.line_item(exercise),
        "studentSourcedId": ids.person(student.enrolment),
        "scoreStatus": _status(level, found),
        "score": f"{level:.1f}" if level else "",
        "scoreDate": (graded_at or handed_in_at).astimezone(zone).date().isoformat(),
        "comment": one_line(" ".join(filter(None, said))),
        "textScore": str(State(found.state).label),
        "classSourcedId": ids.section_id,
        "inProgress": _truth(found.state != State.COMPETENT),
    }


def _status(level: int | None, found: ExerciseProgress) -> str:
    if level is None:
        return "submitted"
    return "partially graded" if found.waiting else "fully graded"


def _reached(ids: _Ids, student: Student, found: ExerciseProgress) -> Record:
    """Return how far the competency is reached: 0 not started to 4 competent."""
    exercise = found.exercise
    return {
        "sourcedId": ids.of("result-objective", student.enrolment.pk, exercise.pk),
        "resultSourcedId": _result_id(ids, student, exercise),
        "source": "unknown",
        "learningObjectiveId": ids.of("exercise", exercise.pk),
        "score": f"{int(found.state):.1f}",
        "textScore": str(State(found.state).label),
    }


def _result_id(ids: _Ids, student: Student, exercise: Exercise) -> str:
    return ids.of("result", student.enrolment.pk, exercise.pk)
