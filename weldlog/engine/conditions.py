"""The plain conditions in which the tables say when a row speaks.

A condition reads like ``process is GTAW and gas_flow_l_min below 5 or draught is true``. Its
members are those of the thing that is looked at, with dots for members of members. What can be
said of a member: ``is A/B``, ``is not A/B`` (also true when nothing was logged), ``is logged``,
``is not logged``, ``above N``, ``below N``, ``at least N``, where N is a number or a multiple of
another member, as in ``arc_length_mm above 1.5 x tungsten.diameter_mm``.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from operator import attrgetter
from types import SimpleNamespace
from typing import Any, Final, NamedTuple

from weldlog.engine.facts import NO_FILLER

_TEST: Final = re.compile(r"(\S+) (is not|is|above|below|at least) (?:([\d.]+) x )?(\S+(?: \S+)*)")
_SIGNS: Final = {"above": ">", "below": "<", "at least": ">="}
_WORDS: Final[dict[str, object]] = {"true": True, "false": False, "no_filler": NO_FILLER}

type Getter = Callable[[Any], Any]


class Outcome(NamedTuple):
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


QUIET: Final = Outcome(met=False)


@dataclass(frozen=True, slots=True)
class Comparison:
    """One comparison of one member.

    Parameters
    ----------
    member : str
        Name of what is looked at, with dots.
    asks : str
        The comparison in Python, over ``value``, ``bound`` and ``choices``.
    choices : frozenset
        What the member may be, where it is a choice.
    bound : float or None
        The number it is held against, or the factor of ``bound_member``.
    bound_member : str or None
        The member of which the bound is a multiple.
    optional : bool
        Whether it can be told where nothing was logged.
    """

    member: str
    asks: str
    choices: frozenset[object] = frozenset()
    bound: float | None = None
    bound_member: str | None = None
    optional: bool = False

    def value(self, thing: Any) -> Any:
        """Return the member of a thing, None where it was not logged."""
        return getter(self.member)(thing)

    def limit(self, thing: Any) -> float | None:
        """Return the number that the member is held against, None where that is not known."""
        if self.bound_member is None or self.bound is None:
            return self.bound
        return multiple(self.bound, getter(self.bound_member)(thing))

    def holds(self, thing: Any) -> bool | None:
        """Return whether it is true of a thing, or None where something is missing."""
        value, bound = self.value(thing), self.limit(thing)
        if not self.optional and (value is None or (self.bound is not None and bound is None)):
            return None
        return _compiled(self.asks)(value, bound, self.choices)

    def missing(self, thing: Any) -> str:
        """Return the member for want of which it cannot be judged."""
        return self.member if self.value(thing) is None else self.bound_member or self.member


@cache
def _compiled(asks: str) -> Callable[[Any, Any, frozenset[object]], bool]:
    """Return the comparison as a function; its text is one of the few that ``_test`` writes."""
    function: Callable[..., bool] = eval(f"lambda value, bound, choices: {asks}")  # noqa: S307
    return function


@cache
def getter(member: str) -> Getter:
    """Return a reader of a dotted member that gives None when a part of the way is missing."""
    first, _, rest = member.partition(".")
    read: Getter = attrgetter(first)
    if not rest:
        return read
    if "." in rest:
        raise ValueError(f"No member lies that deep: {member}.")
    # No filler is a statement without members: the condition of no filler is missing, not wrong.
    return lambda thing: getattr(read(thing), rest, None)


def multiple(factor: float, base: float | None) -> float | None:
    """Return the bound that is a multiple of a member."""
    # Sizes are stated to 0.01 mm: without rounding, 1.1 x 1.2 would lie above 1.32.
    return None if base is None else round(factor * base, 6)


def _test(text: str) -> Comparison:
    match = _TEST.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"Not a condition: {text!r}.")
    member, relation, factor, right = match.groups()
    getter(member)
    if relation in _SIGNS:
        asks = f"value {_SIGNS[relation]} bound"
        if factor:
            return Comparison(member, asks, bound=float(factor), bound_member=right)
        return Comparison(member, asks, bound=float(right))
    if right == "logged":
        asks = "value is None" if relation == "is not" else "value is not None"
        return Comparison(member, asks, optional=True)
    choices = frozenset(_WORDS.get(word, word) for word in right.split("/"))
    if relation == "is not":
        return Comparison(member, "value not in choices", choices, optional=True)
    return Comparison(member, "value in choices", choices)


class Condition:
    """One or more cases, joined by ``or``, of tests joined by ``and``.

    >>> from weldlog.engine.facts import Facts
    >>> low = condition("process is GTAW and gas_flow_l_min below 5")
    >>> low.of(Facts(process="GTAW", gas_flow_l_min=3)).measured
    3
    >>> low.of(Facts(process="GTAW")).fields
    ('gas_flow_l_min',)
    """

    __slots__ = ("_fields", "cases", "members")

    def __init__(self, cases: tuple[tuple[Comparison, ...], ...]) -> None:
        self.cases = cases
        self._fields = [tuple(test.member for test in case) for case in cases]
        tests = [test for case in self.cases for test in case]
        needed = [test.member for test in tests] + [test.bound_member or "" for test in tests]
        self.members = tuple(dict.fromkeys(name for name in needed if name))

    def given(self, member: str, value: object) -> "Condition | None":
        """Return what is left to ask when one member is known, or None where it cannot hold."""
        known = SimpleNamespace(**{member: value})
        left = tuple(
            tuple(test for test in case if test.member != member) or case
            for case in self.cases
            if all(test.holds(known) for test in case if test.member == member)
        )
        return Condition(left) if left else None

    def outcome(self, place: int, thing: Any) -> Outcome:
        """Return the outcome where the case at a place holds; its last test was measured."""
        last = self.cases[place][-1]
        value = last.value(thing)
        measured = value if isinstance(value, float | int | str) else None
        return Outcome(
            met=True,
            fields=self._fields[place],
            measured=str(value).lower() if isinstance(value, bool) else measured,
            limit=last.limit(thing),
        )

    def of(self, thing: Any) -> Outcome:
        """Judge one thing.

        The tests of a case are taken in order, so a member that is missing counts as missing
        only where everything before it holds.
        """
        missing: tuple[str, ...] = ()
        for place, case in enumerate(self.cases):
            for test in case:
                held = test.holds(thing)
                if held:
                    continue
                if held is None:
                    missing += (test.missing(thing),)
                break
            else:
                return self.outcome(place, thing)
        return Outcome(met=False, fields=missing) if missing else QUIET


@cache
def condition(text: str) -> Condition:
    """Return the condition that a text states.

    Raises
    ------
    ValueError
        When the text is not a condition.
    """
    return Condition(
        tuple(tuple(_test(test) for test in case.split(" and ")) for case in text.split(" or "))
    )
