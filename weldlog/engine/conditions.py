"""The plain conditions in which the tables say when a row speaks.

A condition reads like ``process is GTAW and gas_flow_l_min below 5 or draught is true``. Its
members are those of the thing that is looked at, with dots for members of members. What can be
said of a member: ``is A/B``, ``is not A/B`` (also true when nothing was logged), ``is not logged``,
``above N``, ``below N``, ``at least N``, where N is a number or a multiple of another member, as
in ``arc_length_mm above 1.5 x tungsten.diameter_mm``.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from operator import ge, gt, lt
from typing import Any

from weldlog.engine.facts import NO_FILLER

_TEST = re.compile(r"(\S+) (is not|is|above|below|at least) (?:([\d.]+) x )?(\S+(?: \S+)*)")
_COMPARE: dict[str, Callable[[float, float], bool]] = {"above": gt, "below": lt, "at least": ge}
_WORDS: dict[str, object] = {"true": True, "false": False, "no_filler": NO_FILLER}

type Getter = Callable[[Any], Any]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a condition.

    Parameters
    ----------
    met : bool
        Whether it holds.
    fields : tuple of str
        Members that it rests on when it holds, members that are missing when it does not.
    measured, limit : float, str or None
        The last value looked at and the number it was held against, when it holds.
    """

    met: bool
    fields: tuple[str, ...] = ()
    measured: float | str | None = None
    limit: float | str | None = None


QUIET = Outcome(met=False)


@dataclass(frozen=True, slots=True)
class _Test:
    """One comparison of one member; ``bound`` reads what it is held against."""

    member: str
    value: Getter
    relation: str
    bound: Getter
    bound_member: str | None = None

    def holds(self, thing: Any) -> bool | str:
        """Return whether it holds, or the name of the member that is missing for it."""
        value = self.value(thing)
        match self.relation:
            case "is not logged":
                return value is None
            case "is not":
                return value not in self.bound(thing)
        if value is None:
            return self.member
        if self.relation == "is":
            return value in self.bound(thing)
        bound = self.bound(thing)
        if bound is None:
            return self.bound_member or self.member
        return _COMPARE[self.relation](value, bound)

    def outcome(self, thing: Any, fields: tuple[str, ...]) -> Outcome:
        """Return the outcome of a case whose last test this is."""
        value = self.value(thing)
        measured = value if isinstance(value, float | int | str) else None
        if isinstance(value, bool):
            measured = str(value).lower()
        limit = self.bound(thing) if self.relation in _COMPARE else None
        return Outcome(met=True, fields=fields, measured=measured, limit=limit)


def _getter(member: str) -> Getter:
    """Return a reader of a dotted member that gives None when a part of the way is missing."""
    first, _, rest = member.partition(".")
    if not rest:
        return lambda thing: getattr(thing, first, None)
    onward = _getter(rest)
    return lambda thing: onward(getattr(thing, first, None))


def _multiple(factor: float, member: str) -> Getter:
    """Return the reader of a bound that is a multiple of a member."""
    base = _getter(member)

    def read(thing: Any) -> float | None:
        value = base(thing)
        # Sizes are stated to 0.01 mm: without rounding, 1.1 x 1.2 would lie above 1.32.
        return None if value is None else round(factor * value, 6)

    return read


def _test(text: str) -> _Test:
    match = _TEST.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"Not a condition: {text!r}.")
    member, relation, factor, right = match.groups()
    value = _getter(member)
    if (relation, right) == ("is not", "logged"):
        return _Test(member, value, "is not logged", lambda _: None)
    if relation in ("is", "is not"):
        choices = frozenset(_WORDS.get(word, word) for word in right.split("/"))
        return _Test(member, value, relation, lambda _: choices)
    if factor:
        return _Test(member, value, relation, _multiple(float(factor), right), right)
    number = float(right)
    return _Test(member, value, relation, lambda _: number)


class Condition:
    """One or more cases, joined by ``or``, of tests joined by ``and``.

    >>> from weldlog.engine.facts import Facts
    >>> low = condition("process is GTAW and gas_flow_l_min below 5")
    >>> low.of(Facts(process="GTAW", gas_flow_l_min=3)).measured
    3
    >>> low.of(Facts(process="GTAW")).fields
    ('gas_flow_l_min',)
    """

    __slots__ = ("cases", "members")

    def __init__(self, text: str) -> None:
        self.cases = tuple(
            tuple(_test(test) for test in case.split(" and ")) for case in text.split(" or ")
        )
        tests = [test for case in self.cases for test in case]
        needed = [test.member for test in tests] + [test.bound_member or "" for test in tests]
        self.members = tuple(dict.fromkeys(name for name in needed if name))

    def of(self, thing: Any) -> Outcome:
        """Judge one thing.

        The tests of a case are taken in order, so a member that is missing counts as missing
        only where everything before it holds.
        """
        missing: list[str] = []
        for case in self.cases:
            for test in case:
                held = test.holds(thing)
                if held is not True:
                    if held:
                        missing.append(str(held))
                    break
            else:
                return case[-1].outcome(thing, tuple(test.member for test in case))
        return Outcome(met=False, fields=tuple(missing)) if missing else QUIET


@cache
def condition(text: str) -> Condition:
    """Return the condition that a text states.

    Raises
    ------
    ValueError
        When the text is not a condition.
    """
    return Condition(text)
