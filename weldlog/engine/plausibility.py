"""What is usual for each number of a coupon, and what is only just plausible."""

from dataclasses import dataclass
from typing import Final, get_args

from weldlog.engine.facts import Process
from weldlog.engine.findings import Severity
from weldlog.engine.possible import DOMAINS, Limits
from weldlog.engine.sources import source
from weldlog.engine.tables import rows
from weldlog.engine.units import to_base


@dataclass(frozen=True, slots=True)
class Band:
    """The usual and the largest plausible range of one member [base unit].

    ``unit`` is the one in which the shop speaks of it. ``softly`` is how loudly a number between
    the soft and the hard ends is asked about; ``advise`` where other rules judge the number, so
    that it is asked about only where a slip of the unit would explain it.
    """

    soft: tuple[float, float]
    hard: tuple[float, float]
    unit: str
    softly: Severity = "warn"

    def outside(self, value: float) -> tuple[Severity, float] | None:
        """Return how loudly to ask about a value and the limit that it broke, or None."""
        if self.is_usual(value):
            return None
        low, high = self.hard
        if low <= value <= high:
            return self.softly, self.soft[0] if value < self.soft[0] else self.soft[1]
        return "stop", low if value < low else high

    def is_usual(self, value: float) -> bool:
        """Return whether the value lies inside the soft band."""
        return self.soft[0] <= value <= self.soft[1]


def _read_band(row: dict[str, str]) -> Band:
    source(row["source"])
    ends = ("soft_low", "soft_high", "hard_low", "hard_high")
    soft_low, soft_high, hard_low, hard_high = (to_base(float(row[e]), row["unit"]) for e in ends)
    softly: Severity = row["softly"]  # type: ignore[assignment]
    return Band((soft_low, soft_high), (hard_low, hard_high), row["unit"], softly)


_BANDS: Final[dict[Process, dict[str, Band]]] = {
    process: {
        row["member"]: _read_band(row)
        for row in rows("plausibility.tsv")
        if row["process"] in (process, "both")
    }
    for process in get_args(Process)
}
USUAL: Final = {
    process: Limits({name: each.soft for name, each in bands.items() if name in DOMAINS})
    for process, bands in _BANDS.items()
}
"""The soft bands of each process, to hold a whole coupon against."""


def band(process: Process, member: str) -> Band | None:
    """Return the band of a member (``Number.member``, or ``arc_energy_kj_mm``), or None.

    >>> found = band("GTAW", "travel_speed_mm_s")
    >>> found.outside(0.1), found.outside(5), found.is_usual(5)
    (('stop', 0.25), None, True)
    """
    return _BANDS[process].get(member)
