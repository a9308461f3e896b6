"""What a term record lists: coupons, comments, safety stops, check tests, corrections."""

from dataclasses import dataclass
from datetime import date, datetime

from coursework.record_parts import Share, WeekShare


@dataclass(frozen=True, slots=True)
class CouponLine:
    """One coupon that was handed in and not withdrawn.

    ``state`` is accepted, returned or waiting; a waiting one has no level, grader or day of it.
    ``filler`` is ``none`` for a weld without filler and empty where nobody was asked.
    ``logged_by`` names whoever logged it for the student, and is empty where the student did.
    ``imperfections`` are numbers of ISO 6520-1. ``in_figures`` is false for one with an entry that
    can hardly be meant. ``earlier_levels`` are those of the grades before the present one.
    ``thermal_efficiency`` is the factor between arc energy and heat input.
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
    level: int | None
    graded_by: str
    graded_at: datetime | None
    logged_by: str = ""
    # Version 1 listed accepted coupons alone.
    state: str = "accepted"
    predicted_level: int | None = None
    arc_time_s: float | None = None
    thermal_efficiency: float | None = None
    in_figures: bool = True
    safety_stops: int = 0
    imperfections: tuple[str, ...] = ()
    earlier_levels: tuple[int, ...] = ()
    rules_edition: str = ""
    rubric_version: str = ""


@dataclass(frozen=True, slots=True)
class Comment:
    """What an instructor wrote about a coupon; ``repeat`` says what to do again, if anything."""

    coupon: int
    exercise: str
    written_at: datetime
    written_by: str
    text: str
    repeat: str = ""


@dataclass(frozen=True, slots=True)
class Grader:
    """Whose initials stand beside a level."""

    initials: str
    name: str


@dataclass(frozen=True, slots=True)
class SafetyStop:
    """One safety stop of one coupon; ``open`` while no instructor has graded the coupon."""

    coupon: int
    exercise: str
    handed_in_at: datetime
    week: int
    rule: str
    says: str
    open: bool


@dataclass(frozen=True, slots=True)
class SafetyKind:
    """How often one rule stopped the work, and how often that is still open."""

    rule: str
    says: str
    stops: int
    open: int


@dataclass(frozen=True, slots=True)
class Safety:
    """Safety stops of the term; a week's share counts coupons with at least one."""

    stops: tuple[SafetyStop, ...]
    by_kind: tuple[SafetyKind, ...]
    by_week: tuple[WeekShare, ...]
    open: int


@dataclass(frozen=True, slots=True)
class Hours:
    """How long the student welded, as far as it was logged.

    ``arc_time_s`` sums up the time with the arc lit over the coupons that tell it (``coupons``:
    so many of all), as logged or else from length and travel speed; ``timed`` of them were timed
    with the stopwatch of the page. ``days`` are days of the school on which a coupon was handed
    in. Time in the booth without an arc is in neither.
    """

    arc_time_s: float
    coupons: Share
    timed: int
    days: int
    first_day: date | None
    last_day: date | None

    @property
    def arc_time_h_min(self) -> tuple[int, int]:
        """The arc time in whole hours and the minutes over [h, min]."""
        return divmod(round(self.arc_time_s / 60), 60)


@dataclass(frozen=True, slots=True)
class CheckTestLine:
    """One result of a check test on a graded coupon."""

    coupon: int
    exercise: str
    kind: str
    passed: bool
    largest_opening_mm: float | None
    note: str
    tested_by: str
    tested_at: datetime


@dataclass(frozen=True, slots=True)
class Correction:
    """A correction that was declined, and the student's statement, which goes with the record.

    ``asked_on`` is a day of the school's time zone; ``about`` and ``asked`` say what the student
    wanted to have put right, ``reason`` why it was declined.
    """

    about: str
    asked_on: date
    asked: str
    decision: str
    reason: str
    statement: str
    stated_at: datetime


@dataclass(frozen=True, slots=True)
class Issue:
    """By whom and when this issue of the record was made.

    ``code`` is the number on the print, ``number`` counts the issues; ``supersedes`` is the code of
    the one before, empty for the first.
    """

    code: str
    number: int
    issued_by: str
    issued_at: datetime
    supersedes: str = ""
