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
from operator import attrgetter, ge, gt, lt
from types import SimpleNamespace
from typing import Any, Final, NamedTuple

from weldlog.engine.facts import NO_FILLER

_TEST: Final = re.compile(r"(\S+) (is not|is|above|below|at least) (?:([\d.]+) x )?(\S+(?: \S+)*)")
_COMPARE: Final[dict[str, Callable[[float, float], bool]]] = {
    "above": gt,
    "below": lt,
    "at least": ge,
}
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
class _Test:
    """One comparison of one member.

    ``holds`` tells whether it is true of a thing, or None where something is missing; ``bound``
    reads the number that it is held against.
    """

    member: str
    value: Getter
    holds: Callable[[Any], bool | None]
    bound: Getter
    bound_member: str | None = None

    def missing(self, thing: Any) -> str:
        """Return the member for want of which it cannot be judged."""
        return self.member if self.value(thing) is None else self.bound_member or self.member


def _getter(member: str) -> Getter:
    """Return a reader of a dotted member that gives None when a part of the way is missing."""
    first, _, rest = member.partition(".")
    read: Getter = attrgetter(first)
    if not rest:
        return read
    if "." in rest:
        raise ValueError(f"No member lies that deep: {member}.")
    # No filler is a statement without members: the condition of no filler is missing, not wrong.
    return lambda thing: getattr(read(thing), rest, None)


def _multiple(factor: float, member: str) -> Getter:
    """Return the reader of a bound that is a multiple of a member."""
    base = _getter(member)

    def read(thing: Any) -> float | None:
        value = base(thing)
        # Sizes are stated to 0.01 mm: without rounding, 1.1 x 1.2 would lie above 1.32.
        return None if value is None else round(factor * value, 6)

    return read


def _no_bound(_: Any) -> None:
    return None


def _test(text: str) -> _Test:
    match = _TEST.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"Not a condition: {text!r}.")
    member, relation, factor, right = match.groups()
    if relation in _COMPARE:
        return _comparison(member, _COMPARE[relation], factor, right)
    value = _getter(member)
    return _Test(member, value, _choice(value, relation, right), _no_bound)


def _choice(value: Getter, relation: str, right: str) -> Callable[[Any], bool | None]:
    if (relation, right) == ("is not", "logged"):
        return lambda thing: value(thing) is None
    if (relation, right) == ("is", "logged"):
        return lambda thing: value(thing) is not None
    choices = frozenset(_WORDS.get(word, word) for word in right.split("/"))
    if relation == "is not":
        return lambda thing: value(thing) not in choices

    def holds(thing: Any) -> bool | None:
        found = value(thing)
        return None if found is None else found in choices

    return holds


def _comparison(
    member: str, compare: Callable[[float, float], bool], factor: str | None, right: str
) -> _Test:
    value = _getter(member)
    number = 0.0 if factor else float(right)
    bound = _multiple(float(factor), right) if factor else lambda _: number

    def holds(thing: Any) -> bool | None:
        found = value(thing)
        if found is None:
            return None
        against = bound(thing)
        return None if against is None else compare(found, against)

    return _Test(member, value, holds, bound, right if factor else None)


def _met(case: tuple[_Test, ...], thing: Any) -> Outcome:
    """Return the outcome of a case that holds; its last test says what was measured."""
    value = case[-1].value(thing)
    measured = value if isinstance(value, float | int | str) else None
    return Outcome(
        met=True,
        fields=tuple(test.member for test in case),
        measured=str(value).lower() if isinstance(value, bool) else measured,
        limit=case[-1].bound(thing),
    )


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

    def __init__(self, cases: tuple[tuple[_Test, ...], ...]) -> None:
        self.cases = cases
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

    def of(self, thing: Any) -> Outcome:
        """Judge one thing.

        The tests of a case are taken in order, so a member that is missing counts as missing
        only where everything before it holds.
        """
        missing: tuple[str, ...] = ()
        for case in self.cases:
            for test in case:
                held = test.holds(thing)
                if held:
                    continue
                if held is None:
                    missing += (test.missing(thing),)
                break
            else:
                return _met(case, thing)
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
