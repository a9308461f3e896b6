"""The term record of one student, as plain values, and the master text that is kept of it.

The master is canonical JSON: sorted keys, no spaces, times in UTC, units in the names. Whatever is
printed of an issued record is read back from it. ``tests/contract/term_record.schema.json``
describes it. ``coursework.record_making`` fills it from the tables.
"""

import hashlib
import json
import types
import typing
from dataclasses import asdict, dataclass, fields, is_dataclass
from datetime import UTC, date, datetime
from typing import Any, Final

SCHEMA_VERSION: Final = 1


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many."""

    count: int
    of: int

    @property
    def percent(self) -> float | None:
        """The share [%], or None where there is nothing to share."""
        return 100 * self.count / self.of if self.of else None


@dataclass(frozen=True, slots=True)
class WeekShare(Share):
    """A share among the coupons of one week of the term."""

    week: int


@dataclass(frozen=True, slots=True)
class Spread:
    """A figure over several coupons; the standard deviation is that of a sample, and None where
    there are fewer than three."""

    coupons: int
    mean: float
    standard_deviation: float | None


@dataclass(frozen=True, slots=True)
class FigureSpread:
    """One figure of one exercise: ``name`` is arc_energy_kj_mm, heat_input_kj_mm or
    travel_speed_mm_s, and every value is in that unit.

    The thirds are the first and the last third of the coupons that have the figure; both are None
    under six of them. ``in_window`` is None where the exercise has no window for the figure.
    """

    name: str
    all: Spread
    first_third: Spread | None
    last_third: Spread | None
    window_low: float | None
    window_high: float | None
    in_window: Share | None


@dataclass(frozen=True, slots=True)
class ExerciseLine:
    """One exercise of the course plan and how far the student came in it.

    ``state`` is 0 not started, 1 started, 2 coming along, 3 nearly there, 4 competent. ``filler``
    is empty where the exercise is done without.
    """

    place: int
    title: str
    process: str
    joint: str
    position: str
    metal: str
    thickness_mm: float
    filler: str
    state: int
    logged: int
    good: int
    wanted: int
    waiting: int
    best_level: int | None
    last_level: int | None
    last_handed_in_at: datetime | None
    signed_by: str
    signed_at: datetime | None
    figures: tuple[FigureSpread, ...]


@dataclass(frozen=True, slots=True)
class InWindow:
    """How many coupons of the whole term had one figure inside its exercise's window."""

    name: str
    all: Share
    first_third: Share
    last_third: Share
    by_week: tuple[WeekShare, ...]


@dataclass(frozen=True, slots=True)
class ImperfectionFading:
    """On how many coupons an imperfection was seen; ``number`` is that of ISO 6520-1."""

    number: str
    name: str
    first_half: int
    second_half: int


@dataclass(frozen=True, slots=True)
class Imperfections:
    """Imperfections seen, in the first and in the second half of the coupons looked at."""

    first_half_coupons: int
    second_half_coupons: int
    seen: tuple[ImperfectionFading, ...]


@dataclass(frozen=True, slots=True)
class Prediction:
    """The student's own level against the one given; a difference above zero is too hopeful."""

    same: Share
    within_one: Share
    mean_difference: float | None
    by_week: tuple[WeekShare, ...]


@dataclass(frozen=True, slots=True)
class CouponLine:
    """One coupon that counts: an accepted one.

    ``filler`` is ``none`` for a weld without filler and empty where nobody was asked.
    ``logged_by`` names whoever logged it for the student, and is empty where the student did.
    """

    number: int
    handed_in_at: datetime
    exercise: str
    metal: str
    filler: str
    travel_speed_mm_s: float | None
    arc_energy_kj_mm: float | None
    heat_input_kj_mm: float | None
    stops: int
    warns: int
    level: int
    graded_by: str
    graded_at: datetime
    logged_by: str = ""


@dataclass(frozen=True, slots=True)
class Comment:
    """What an instructor wrote about a coupon."""

    coupon: int
    exercise: str
    written_at: datetime
    written_by: str
    text: str


@dataclass(frozen=True, slots=True)
class Grader:
    """Whose initials stand beside a level."""

    initials: str
    name: str


@dataclass(frozen=True, slots=True)
class Issue:
    """By whom and when this issue of the record was made."""

    code: str
    number: int
    issued_by: str
    issued_at: datetime


@dataclass(frozen=True, slots=True)
class TermRecord:
    """All that the term record of one student says. ``issue`` is None in a preview.

    ``left_out_of_figures`` counts the coupons with an entry that can hardly be meant: they are in
    no mean, spread or window.
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
    # Of a record issued before it was counted nobody knows better than zero.
    left_out_of_figures: int = 0

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


def to_master(record: TermRecord) -> str:
    """Return the record as canonical JSON: the same record always gives the same text."""
    return json.dumps(
        asdict(record),
        sort_keys=True,
        ensure_ascii=False,
        allow_nan=False,
        separators=(",", ":"),
        default=_written,
    )


def from_master(text: str) -> TermRecord:
    """Return the record that a master text holds.

    Raises
    ------
    ValueError, KeyError, TypeError
        When the text is not the master of a term record.
    """
    return typing.cast("TermRecord", _read(TermRecord, json.loads(text)))


def fingerprint(master: str) -> str:
    """Return the SHA-256 of a master text, in hexadecimal."""
    return hashlib.sha256(master.encode()).hexdigest()


def _written(value: object) -> str:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no place in a term record.")


def _read(kind: Any, value: Any) -> Any:
    """Turn what JSON holds into the kind of value that a field is declared to be."""
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if origin is types.UnionType:
        return None if value is None else _read(inner[0], value)
    if origin is tuple:
        return tuple(_read(inner[0], each) for each in value)
    if is_dataclass(kind):
        kinds = typing.get_type_hints(kind)
        names = [each.name for each in fields(kind) if each.name in value]
        members = {name: _read(kinds[name], value[name]) for name in names}
        return typing.cast("Any", kind)(**members)
    if kind in {datetime, date}:
        return kind.fromisoformat(value)
    return value
