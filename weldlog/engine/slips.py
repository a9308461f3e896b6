"""Slips of a unit: the same digits, meant in one unit and read in another.

``tables/slips.tsv`` names them for each member, the likeliest first. A slip explains a number
where the reading that was meant would be usual; it is suggested, and nothing is corrected.
"""

from dataclasses import dataclass
from typing import Final

from weldlog.engine.findings import Value
from weldlog.engine.plausibility import Band
from weldlog.engine.possible import DOMAINS
from weldlog.engine.tables import rows
from weldlog.engine.units import convert, from_base, to_base
from weldlog.engine.written import NO_BREAK_SPACE, plain

MOST_DIGITS_TYPED: Final = 5
"""Nobody types a number with more significant digits, so that one which has more in some unit was
not typed in that unit; common practice, no source."""
_EXACT: Final = 9
"""Digits after the first to which a number in base units keeps what was typed."""
_CHECK: Final = "Check the number and its unit."
_SPOKEN: Final = {"ft3/h": "CFH", "0.001 in": "thousandths of an inch"}


@dataclass(frozen=True, slots=True)
class Slip:
    """Digits that were meant in one unit and read in another."""

    read_as: str
    typed_as: str

    def meant(self, value: float) -> float:
        """Return what was meant where a value was read [base unit].

        >>> round(Slip("mm/min", "in/min").meant(8 / 60) * 60, 1)
        203.2
        """
        return to_base(from_base(value, self.read_as), self.typed_as)

    @property
    def ratio(self) -> float:
        """Return what was meant for each that was read; for units that start at the same zero."""
        return to_base(1, self.typed_as) / to_base(1, self.read_as)


@dataclass(frozen=True, slots=True)
class Meant:
    """What a slip would explain: the member, its value [base unit], and the unit that was meant."""

    path: str
    member: str
    value: float
    typed_as: str

    @property
    def suggestion(self) -> dict[str, Value]:
        """The suggestion of a finding."""
        return {"field": self.path, "value": self.value, "typed_as": self.typed_as}

    def question(self, unit: str) -> str:
        """Ask for it in the unit that was meant and in the one that the shop speaks of.

        >>> ask = Meant("travel_speed_mm_s", "travel_speed_mm_s", 203.2 / 60, "in/min").question
        >>> ask("mm/min").replace(NO_BREAK_SPACE, " ")
        'Did you mean 8 in/min, which is 203 mm/min? Check the number and its unit.'
        """
        number = from_base(self.value, self.typed_as)
        typed = _with_unit(number, self.typed_as)
        if unit != self.typed_as:
            typed += f", which is {_with_unit(from_base(self.value, unit), unit)}"
        if self.typed_as == "min":
            typed += _as_on_a_watch(number)
        return f"Did you mean {typed}? {_CHECK}"


def question(meant: Meant | None, unit: str | None = None) -> str:
    """Return the last sentences of a question about an entry, with or without a suggestion."""
    return meant.question(unit or DOMAINS[meant.member].unit) if meant else _CHECK


def explain(
    usual: Band, path: str, member: str, value: float, *, power: int = 1, of: float | None = None
) -> Meant | None:
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

    >>> from weldlog.engine.plausibility import band
    >>> usual = band("GMAW", "wire_feed_mm_s")
    >>> explain(usual, "wire_feed_mm_s", "wire_feed_mm_s", to_base(12.2, "in/min")).typed_as
    'm/min'
    """
    stated = value if of is None else of
    for slip in _likeliest_first(member, stated):
        meant = slip.meant(stated)
        if usual.is_usual(meant if of is None else value * slip.ratio**power):
            return Meant(path, member, meant, slip.typed_as)
    return None


def digits(value: float, unit: str) -> int:
    """Return how many significant digits a number has in a unit.

    A person types few: 12.2 in/min has three, and the same feed in m/min, 0.30988, has five.

    >>> digits(to_base(12.2, "in/min"), "in/min"), digits(to_base(12.2, "in/min"), "m/min")
    (3, 5)
    """
    mantissa = f"{abs(from_base(value, unit)):.{_EXACT}e}".partition("e")[0]
    return len(mantissa.replace(".", "").rstrip("0"))


def _likeliest_first(member: str, stated: float) -> list[Slip]:
    """Return the slips of a member, those from the unit first in which it was probably typed."""
    typed_in = [(digits(stated, slip.read_as), slip) for slip in SLIPS.get(member, ())]
    typed_in.sort(key=lambda each: each[0])
    could_be = [slip for count, slip in typed_in if count <= MOST_DIGITS_TYPED]
    return could_be or [slip for _, slip in typed_in]


def _as_on_a_watch(minutes: float) -> str:
    """Return the other reading of minutes with a point: 1.33 may be 1:33 on a watch.

    >>> _as_on_a_watch(1.33).replace(NO_BREAK_SPACE, " "), _as_on_a_watch(1.75)
    (', or 1:33, which is 93 s', '')
    """
    whole = int(minutes)
    seconds = round(100 * (minutes - whole))
    if not whole or not 0 < seconds < 60:
        return ""
    return f", or {whole}:{seconds:02}, which is {_with_unit(60 * whole + seconds, 's')}"


def _with_unit(value: float, unit: str) -> str:
    spoken = _SPOKEN.get(unit, unit)
    return f"{plain(value)}{NO_BREAK_SPACE}{spoken}"


def _read_slips() -> dict[str, tuple[Slip, ...]]:
    found: dict[str, tuple[Slip, ...]] = {}
    for row in rows("slips.tsv"):
        convert(1, row["read_as"], row["typed_as"])  # of the same kind, or it is a mistake
        slip = Slip(row["read_as"], row["typed_as"])
        found[row["member"]] = (*found.get(row["member"], ()), slip)
    return found


SLIPS: Final = _read_slips()
