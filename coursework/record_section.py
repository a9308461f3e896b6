"""The term record of a section, as plain values: the matrix, and each student's record by its hash.

``coursework/schemas/section_record_1.schema.json`` describes its master text.
"""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from coursework.record import Issue
from coursework.record_text import read, written

SCHEMA_VERSION: Final = 1


@dataclass(frozen=True, slots=True)
class SectionExercise:
    """One exercise of the course plan: a column of the matrix.

    ``competent`` counts the students who are competent in it.
    """

    key: int
    place: int
    title: str
    wanted: int
    retired: bool
    competent: int


@dataclass(frozen=True, slots=True)
class SectionCell:
    """How far one student came in one exercise; ``state`` as in the student's record, 0 to 4."""

    state: int
    logged: int
    good: int


@dataclass(frozen=True, slots=True)
class SectionStudent:
    """One student: a row of the matrix, and the record that it is read from.

    ``cells`` are in the order of the exercises, None for a retired one that the student never
    tried. ``left_on`` is a day of the school, None for who is in the section. The record is named
    by its code, issue and SHA-256.
    """

    student: str
    student_number: str
    left_on: date | None
    cells: tuple[SectionCell | None, ...]
    competent: int
    logged: int
    good: int
    waiting: int
    safety_open: int
    arc_time_s: float
    record_code: str
    record_issue: int
    record_sha256: str
    record_issued_at: datetime


@dataclass(frozen=True, slots=True)
class SectionRecord:
    """All that the term record of a section says; what is missing is said by the students' own."""

    schema_version: int
    issue: Issue
    school: str
    time_zone: str
    course_code: str
    course_title: str
    section: str
    term: str
    term_starts_on: date
    term_ends_on: date
    instructors: tuple[str, ...]
    exercises: tuple[SectionExercise, ...]
    students: tuple[SectionStudent, ...]
    competent_in_all: int
    notice: str

    @property
    def logged(self) -> int:
        return sum(each.logged for each in self.students)

    @property
    def good(self) -> int:
        return sum(each.good for each in self.students)

    @property
    def waiting(self) -> int:
        return sum(each.waiting for each in self.students)

    @property
    def safety_open(self) -> int:
        return sum(each.safety_open for each in self.students)


def to_master(record: SectionRecord) -> str:
    """Return the record as canonical JSON: the same record always gives the same text."""
    return written(record)


def from_master(text: str) -> SectionRecord:
    """Return the record that a master text holds.

    Raises
    ------
    ValueError, KeyError, TypeError
        When the text is not the master of a section's record.
    """
    return read(SectionRecord, text)
