"""What a term record counts: shares, spreads, exercises, imperfections, predictions."""

from dataclasses import dataclass
from datetime import datetime


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
    is empty where the exercise is done without. ``logged`` are all coupons tried, ``good`` the
    accepted, ``returned`` the returned and ``waiting`` the ungraded ones of them. ``in_a_row`` is
    the longest run of good ones, None where no run is asked for. ``check_test`` is empty where
    none is asked for; ``tested`` says whether a good coupon passed it. ``safety_open`` counts
    ungraded coupons with a safety stop. ``arc_time_s`` is the sum over the coupons that tell it.
    ``key`` tells exercises apart, also where a ``retired`` one was replaced at the same place.
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
    returned: int = 0
    in_a_row_wanted: int = 1
    in_a_row: int | None = None
    check_test: str = ""
    tested: bool = False
    safety_open: int = 0
    arc_time_s: float | None = None
    key: int = 0
    retired: bool = False


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
