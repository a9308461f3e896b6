"""Which numbers can be at all. What cannot be is questioned once and taken as not logged.

A table gives the domain of each member (``tables/domains.tsv``). No number may be larger than
``LARGEST``, and none that has to be above a bound may be nearer to it than ``SMALLEST``, so that
no rule ever meets an overflow or divides by what has become zero.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from typing import Any, Final

from weldlog.engine.facts import NO_FILLER, Facts, Run
from weldlog.engine.tables import rows

LARGEST: Final = 1e9
SMALLEST: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Number:
    """One logged number: where it stands, which member it is, and its value [base unit].

    ``path`` tells items of a list apart (``base_metals[0].thickness_mm``); ``member`` does not
    (``base_metals.thickness_mm``), and is the same for a run as for the coupon (``current_a``).
    ``of`` is the coupon, the run or the part of them that states it.
    """

    path: str
    member: str
    value: float
    of: Any

    @property
    def field(self) -> str:
        """Return the name that a finding gives it: which run it is of matters, which item not."""
        return self.path if self.path.startswith("run_list") else self.member


@dataclass(frozen=True, slots=True)
class Domain:
    """The numbers that a member can have; ``low`` itself only where ``with_low`` says so.

    ``noun`` and ``unit`` are what a sentence calls the member and writes behind its number.
    """

    low: float
    with_low: bool
    high: float
    noun: str
    unit: str

    @property
    def ends(self) -> tuple[float, float]:
        """Return the smallest and the largest number that the member can have."""
        return self.low if self.with_low else self.low + SMALLEST, self.high


def _domain(row: dict[str, str]) -> Domain:
    high = float(row["high"]) if row["high"] else LARGEST
    return Domain(float(row["low"]), row["with_low"] == "yes", high, row["noun"], row["unit"])


DOMAINS: Final = {row["member"]: _domain(row) for row in rows("domains.tsv")}


class Limits:
    """The ends between which the numbers of a coupon should lie, both included.

    Every coupon is held against them and few break one: ``hold`` asks only whether, by a function
    that is written once, and ``broken`` tells which.

    Parameters
    ----------
    ends : mapping of str to (float, float)
        By member, as in ``Number`` [base unit].

    >>> amps = Limits({"current_a": (5, 500)})
    >>> amps.hold(Facts(process="GTAW", current_a=135)), amps.hold(Facts(process="GTAW"))
    (True, True)
    >>> [each.value for each in amps.broken(Facts(process="GTAW", current_a=1350))]
    [1350.0]
    """

    __slots__ = ("_ends", "_parts", "hold")

    def __init__(self, ends: Mapping[str, tuple[float, float]]) -> None:
        self._ends = ends
        self._parts: dict[str, list[str]] = {"": []}
        for member in ends:
            part, _, name = member.rpartition(".")
            self._parts.setdefault(part, []).append(name)
        # A run has members of the coupon itself.
        self._parts["run_list"] = [name for name in Run.__slots__ if name in ends]
        self.hold: Final = self._written()

    def broken(self, facts: Facts) -> Iterator[Number]:
        """Return the numbers of a coupon that lie outside."""
        for part, names in self._parts.items():
            for path, thing in _things(facts, part):
                for name in names:
                    value, member = getattr(thing, name), _member(part, name)
                    low, high = self._ends[member]
                    if value is not None and not low <= value <= high:
                        yield Number(path + name, member, float(value), thing)

    def _written(self) -> Callable[[Facts], bool]:
        """Return the function that tells whether every number of a coupon lies between its ends."""
        lines: list[str] = []
        for part, names in self._parts.items():
            ends = [self._ends[_member(part, name)] for name in names]
            lines += _lines(part, dict(zip(names, ends, strict=True)))
        known: dict[str, Any] = {"no_filler": NO_FILLER}
        # The text is made of this package's own tables and of nothing that a user typed.
        exec("\n".join(["def hold(facts):", *lines, " return True"]), known)  # noqa: S102
        hold: Callable[[Facts], bool] = known["hold"]
        return hold


def _lines(part: str, ends: Mapping[str, tuple[float, float]]) -> Iterator[str]:
    """Write the lines that look at one part of a coupon, which may be there several times."""
    yield f" part = facts.{part}" if part else " part = facts"
    yield " if part is not None and part is not no_filler:"
    yield "  for thing in part if part.__class__ is tuple else (part,):"
    for name, (low, high) in ends.items():
        yield f"   value = thing.{name}"
        yield f"   if value is not None and not {low!r} <= value <= {high!r}: return False"


def _member(part: str, name: str) -> str:
    return name if part in ("", "run_list") else f"{part}.{name}"


def _things(facts: Facts, part: str) -> list[tuple[str, Any]]:
    """Return the coupon itself or its parts of one name, with the path of their members."""
    found = getattr(facts, part) if part else facts
    if found is None or found is NO_FILLER:
        return []
    if isinstance(found, tuple):
        return [(f"{part}[{place}].", each) for place, each in enumerate(found)]
    return [(f"{part}." if part else "", found)]


POSSIBLE: Final = Limits({member: domain.ends for member, domain in DOMAINS.items()})


def impossible(facts: Facts) -> tuple[Number, ...]:
    """Return the numbers that cannot be: a speed of zero, a negative current, 140 % humidity."""
    return () if POSSIBLE.hold(facts) else tuple(POSSIBLE.broken(facts))


def without(facts: Facts, left_out: tuple[Number, ...]) -> Facts:
    """Return the facts as if these numbers had not been logged."""
    if not left_out:
        return facts
    kept: Facts = _kept(facts, "", frozenset(number.path for number in left_out))
    return kept


@cache
def _names(kind: type) -> tuple[str, ...]:
    """Return the members of a class of facts; ``typed`` holds evidence, not facts."""
    return tuple(each.name for each in fields(kind) if each.name != "typed")


def _kept(thing: Any, path: str, left_out: frozenset[str]) -> Any:
    # What stays as it was stays the same thing: no filler is known by what it is.
    if not any(each.startswith(path) for each in left_out):
        return thing
    changed: dict[str, Any] = {}
    for name in _names(type(thing)):  # type: ignore[arg-type]  # a class is hashable
        value, at = getattr(thing, name), path + name
        if at in left_out:
            changed[name] = None
        elif isinstance(value, tuple):
            items = enumerate(value)
            changed[name] = tuple(_kept(each, f"{at}[{n}].", left_out) for n, each in items)
        elif is_dataclass(value):
            changed[name] = _kept(value, f"{at}.", left_out)
    return replace(thing, **changed)
