"""What is usual for each member of a coupon, and which slip of a unit would explain the rest."""

from dataclasses import dataclass
from typing import Final

from weldlog.engine.facts import Process
from weldlog.engine.findings import Severity, Value
from weldlog.engine.sources import source
from weldlog.engine.tables import rows
from weldlog.engine.units import to_base


@dataclass(frozen=True, slots=True)
class Band:
    """The usual and the largest plausible range of one member [base unit].

    ``unit`` is the one in which the shop speaks of it.
    """

    soft: tuple[float, float]
    hard: tuple[float, float]
    unit: str

    def outside(self, value: float) -> tuple[Severity, float] | None:
        """Return how loudly to ask about a value and the limit that it broke, or None."""
        for severity, (low, high) in (("stop", self.hard), ("warn", self.soft)):
            if not low <= value <= high:
                return severity, low if value < low else high  # type: ignore[return-value]
        return None

    def is_usual(self, value: float) -> bool:
        """Return whether the value lies inside the soft band."""
        return self.soft[0] <= value <= self.soft[1]


@dataclass(frozen=True, slots=True)
class Slip:
    """Digits meant in one unit and read in another; ``factor`` turns the value read into it."""

    typed_as: str
    factor: float


def _read_band(row: dict[str, str]) -> Band:
    source(row["source"])
    ends = ("soft_low", "soft_high", "hard_low", "hard_high")
    soft_low, soft_high, hard_low, hard_high = (to_base(float(row[e]), row["unit"]) for e in ends)
    return Band((soft_low, soft_high), (hard_low, hard_high), row["unit"])


def _read_slips() -> dict[str, tuple[Slip, ...]]:
    found: dict[str, tuple[Slip, ...]] = {}
    for row in rows("slips.tsv"):
        factor = to_base(1, row["typed_as"]) / to_base(1, row["read_as"])
        found[row["member"]] = (*found.get(row["member"], ()), Slip(row["typed_as"], factor))
    return found


_BANDS: Final = {
    (row["process"], row["member"]): _read_band(row) for row in rows("plausibility.tsv")
}
SLIPS: Final = _read_slips()


def band(process: Process, member: str) -> Band | None:
    """Return the band of a member (``Number.member``, or ``arc_energy_kj_mm``), or None."""
    return _BANDS.get((process, member))


def slip_suggestion(
    usual: Band, path: str, member: str, value: float, *, power: int = 1, of: float | None = None
) -> dict[str, Value] | None:
    """Return the first slip that would bring a judged value into the soft band, or None.

    Parameters
    ----------
    usual : Band
        Band of the judged value.
    path, member : str
        The member that may have slipped, as in ``Number``.
    value : float
        The judged value [base unit].
    power : int
        How the judged value follows the member: 1 with it, -1 against it.
    of : float
        Value of the member itself, where it is not the one that is judged [base unit].

    >>> usual = band("GTAW", "travel_speed_mm_s")
    >>> found = slip_suggestion(usual, "travel_speed_mm_s", "travel_speed_mm_s", 8 / 60)
    >>> round(found["value"] * 60, 1), found["typed_as"]
    (203.2, 'in/min')
    """
    stated = value if of is None else of
    for slip in SLIPS.get(member, ()):
        if usual.is_usual(value * slip.factor**power):
            return {"field": path, "value": stated * slip.factor, "typed_as": slip.typed_as}
    return None
