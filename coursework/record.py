"""The term record of one student, as plain values, and the master text that is kept of it.

The master is canonical JSON: sorted keys, no spaces, times in UTC, units in the names. Whatever is
printed of an issued record is read back from it. ``coursework/schemas/term_record_2.schema.json``
describes it, ``term_record_1`` the masters before it, which are read as well: what they do not say
has the default of its field. ``coursework.record_making`` fills a record from the tables.
"""

from dataclasses import dataclass
from datetime import date
from typing import Final

from coursework.record_lines import (
    CheckTestLine,
    Comment,
    Correction,
    CouponLine,
    Grader,
    Hours,
    Issue,
    Safety,
    SafetyKind,
    SafetyStop,
)
from coursework.record_parts import (
    ExerciseLine,
    FigureSpread,
    ImperfectionFading,
    Imperfections,
    InWindow,
    Prediction,
    Share,
    Spread,
    WeekShare,
)
from coursework.record_text import fingerprint, read, written

__all__ = [
    "SCHEMA_VERSION",
    "CheckTestLine",
    "Comment",
    "Correction",
    "CouponLine",
    "ExerciseLine",
    "FigureSpread",
    "Grader",
    "Hours",
    "ImperfectionFading",
    "Imperfections",
    "InWindow",
    "Issue",
    "Prediction",
    "Safety",
    "SafetyKind",
    "SafetyStop",
    "Share",
    "Spread",
    "TermRecord",
    "WeekShare",
    "fingerprint",
    "from_master",
    "to_master",
]

SCHEMA_VERSION: Final = 2


@dataclass(frozen=True, slots=True)
class TermRecord:
    """All that the term record of one student says. ``issue`` is None in a preview.

    ``coupons`` are all that were handed in, the ``withdrawn`` ones left out and only counted.
    ``left_out_of_figures`` counts the coupons with an entry that can hardly be meant: they are in
    no mean, spread, window or arc time. ``notice`` says that this is a training record.
    """

    schema_version: int
    issue: Issue | None
    school: str
    time_zone: str
    course_code: str
    course_title: str
    section: str
    term: str
    term_starts_on: date
    term_ends_on: date
    student: str
    student_number: str
    exercises: tuple[ExerciseLine, ...]
    coupons: tuple[CouponLine, ...]
    in_window: tuple[InWindow, ...]
    cleaning_in_order: tuple[WeekShare, ...]
    imperfections: Imperfections
    prediction: Prediction
    comments: tuple[Comment, ...]
    graders: tuple[Grader, ...]
    rule_editions: tuple[str, ...]
    rubric_versions: tuple[str, ...]
    missing: tuple[str, ...]
    # A record issued before these were asked for says nothing of them.
    left_out_of_figures: int = 0
    withdrawn: int = 0
    safety: Safety | None = None
    hours: Hours | None = None
    check_tests: tuple[CheckTestLine, ...] = ()
    corrections: tuple[Correction, ...] = ()
    notice: str = ""

    @property
    def competent(self) -> int:
        """In how many exercises the student is competent."""
        return sum(each.state == 4 for each in self.exercises)

    @property
    def logged(self) -> int:
        return sum(each.logged for each in self.exercises)

    @property
    def good(self) -> int:
        return sum(each.good for each in self.exercises)

    @property
    def good_coupons(self) -> tuple[CouponLine, ...]:
        """The accepted coupons: those that count."""
        return tuple(each for each in self.coupons if each.state == "accepted")


def to_master(record: TermRecord) -> str:
    """Return the record as canonical JSON: the same record always gives the same text."""
    return written(record)


def from_master(text: str) -> TermRecord:
    """Return the record that a master text of this version or an earlier one holds.

    Raises
    ------
    ValueError, KeyError, TypeError
        When the text is not the master of a term record.
    """
    return read(TermRecord, text)
