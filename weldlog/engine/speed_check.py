"""The travel speed as it was typed, and as it follows from length and arc time."""

from collections.abc import Iterator, Set
from typing import Final, NamedTuple

from weldlog.engine.facts import Facts
from weldlog.engine.findings import Finding, Rule
from weldlog.engine.plausibility import Band
from weldlog.engine.runs import LoggedRun, derived_speed, unlike_runs
from weldlog.engine.slips import Meant, explain, question
from weldlog.engine.written import in_units

DIFFER_SOFT: Final = 0.05
DIFFER_HARD: Final = 0.20
SHORTEST_MM: Final = 25.0
LONGEST_MM: Final = 1000.0
"""Lengths of a practice weld outside which its unit is doubted before that of the arc time [mm];
common practice, no source."""

DISAGREE = Rule(
    id="entry-travel-speed-disagrees",
    severity="warn",
    says="Check the entry: length over arc time gives {derived_text}, the travel speed as typed is "
    "{logged_text}. The figures use the one as typed. {question}",
    source="practice",
    fields=("travel_speed_mm_s", "weld_length_mm", "arc_time_s"),
)


class Timed(NamedTuple):
    """A run whose speed follows from length and time [mm/s], and the paths of the two."""

    at: str
    run: LoggedRun
    speed_mm_s: float
    length_field: str
    time_field: str

    def explain(self, usual: Band) -> Meant | None:
        """Return the slip of length or time that explains the speed, the likelier one first."""
        length, time = self.run.weld_length_mm, self.run.arc_time_s
        speed, of_length = self.speed_mm_s, (self.length_field, "weld_length_mm")
        slips = (
            explain(usual, self.time_field, "arc_time_s", speed, power=-1, of=time),
            explain(usual, *of_length, speed, of=length),
        )
        if length is not None and not SHORTEST_MM <= length <= LONGEST_MM:
            slips = slips[::-1]
        return next((meant for meant in slips if meant and could_be(meant)), None)


def could_be(meant: Meant) -> bool:
    """Return whether what a slip would explain is no weld that a class does not make."""
    return meant.member != "weld_length_mm" or SHORTEST_MM <= meant.value <= LONGEST_MM


def timed_runs(facts: Facts) -> Iterator[Timed]:
    """Return the coupon and its unlike runs, where length and time give them a speed.

    A run without a length of its own is as long as the weld of the coupon.
    """
    if facts.arc_time_s is not None:
        yield from _timed("", facts, "weld_length_mm")
    if facts.run_list:
        for place, run in enumerate(unlike_runs(facts)):
            at, own = f"run_list[{place}].", facts.run_list[place].weld_length_mm is not None
            yield from _timed(at, run, f"{at if own else ''}weld_length_mm")


def _timed(at: str, run: LoggedRun, length_field: str) -> Iterator[Timed]:
    speed = derived_speed(run)
    if speed is not None:
        yield Timed(at, run, speed, length_field, f"{at}arc_time_s")


def check(facts: Facts, questioned: Set[str]) -> Iterator[Finding]:
    """Hold a typed speed against the one from length and time, unless it was questioned alone.

    More than 5 % apart is a warning, more than 20 % a stop.
    """
    for timed in timed_runs(facts):
        typed, derived = timed.run.travel_speed_mm_s, timed.speed_mm_s
        if typed is None or timed.at + "travel_speed_mm_s" in questioned:
            continue
        apart = abs(derived - typed) / typed
        if apart > DIFFER_SOFT:
            meant = timed.explain(around(typed)) if apart > DIFFER_HARD else None
            yield DISAGREE.found(
                severity="stop" if apart > DIFFER_HARD else "warn",
                fields=(f"{timed.at}travel_speed_mm_s", timed.length_field, timed.time_field),
                measured=typed,
                limit=derived,
                suggestion=meant.suggestion if meant else None,
                logged=typed,
                derived=derived,
                logged_text=in_units(typed, "mm/s"),
                derived_text=in_units(derived, "mm/s", unlike=typed),
                question=question(meant) if meant else "Check all three.",
            )


def around(speed_mm_s: float) -> Band:
    """Return the band of the speeds that agree with one [mm/s].

    >>> around(5).is_usual(5.2), around(5).is_usual(5.3)
    (True, False)
    """
    ends = (1 - DIFFER_SOFT) * speed_mm_s, (1 + DIFFER_SOFT) * speed_mm_s
    return Band(ends, ends, "mm/min")
