"""Which numbers can be at all. What cannot be is questioned once and taken as not logged.

A table gives the domain of each member (``tables/domains.tsv``); no number may be larger than
``LARGEST``, so that no rule ever meets an overflow.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from typing import Any, Final

from weldlog.engine.facts import Facts
from weldlog.engine.tables import rows

LARGEST: Final = 1e9


@dataclass(frozen=True, slots=True)
class Number:
    """One logged number: where it stands, which member it is, and its value [base unit].

    ``path`` tells items of a list apart (``base_metals[0].thickness_mm``); ``member`` does not
    (``base_metals.thickness_mm``), and is the same for a run as for the coupon (``current_a``).
    """

    path: str
    member: str
    value: float

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

    def __contains__(self, value: float) -> bool:
        return self.low < value <= self.high or (self.with_low and value == self.low)


def _domain(row: dict[str, str]) -> Domain:
    high = float(row["high"]) if row["high"] else LARGEST
    return Domain(float(row["low"]), row["with_low"] == "yes", high, row["noun"], row["unit"])


DOMAINS: Final = {row["member"]: _domain(row) for row in rows("domains.tsv")}
_PARTS: Final = {"run_list", *(member.partition(".")[0] for member in DOMAINS if "." in member)}


@cache
def _names(kind: type) -> tuple[str, ...]:
    """Return the members of a class of facts; ``typed`` holds evidence, not facts."""
    return tuple(each.name for each in fields(kind) if each.name != "typed")


def numbers(facts: Facts) -> Iterator[Number]:
    """Return every number that a coupon states, in the order of its members."""
    return _walk(facts, "", "")


def _walk(thing: Any, path: str, member: str) -> Iterator[Number]:
    for name in _names(type(thing)):  # type: ignore[arg-type]  # a class is hashable
        value = getattr(thing, name)
        if value is None or isinstance(value, bool | str):
            continue
        if isinstance(value, float | int):
            yield Number(path + name, member + name, float(value))
        elif isinstance(value, tuple):
            inside = "" if name == "run_list" else f"{member}{name}."
            for place, item in enumerate(value):
                yield from _walk(item, f"{path}{name}[{place}].", inside)
        elif is_dataclass(value):
            yield from _walk(value, f"{path}{name}.", f"{member}{name}.")


def impossible(facts: Facts) -> tuple[Number, ...]:
    """Return the numbers that cannot be: a speed of zero, a negative current, 140 % humidity."""
    if _all_possible(facts, ""):
        return ()
    return tuple(each for each in numbers(facts) if not _is_possible(each))


def _all_possible(thing: Any, inside: str) -> bool:
    """Return whether every number of a thing can be, without saying which."""
    domains, parts = _members(type(thing), inside)  # type: ignore[arg-type]  # a class is hashable
    for name, low, high in domains:
        value = getattr(thing, name)
        if value is not None and not low <= value <= high:
            return False
    for name, below in parts:
        value = getattr(thing, name)
        if value is not None:
            things = value if isinstance(value, tuple) else (value,)
            if not all(_all_possible(each, below) for each in things):
                return False
    return True


@cache
def _members(
    kind: type, inside: str
) -> tuple[tuple[tuple[str, float, float], ...], tuple[tuple[str, str], ...]]:
    """Return the numbers of a class of facts with their ends, and its members with members."""
    domains, parts = [], []
    for name in _names(kind):
        domain = DOMAINS.get(inside + name)
        if domain:
            low = domain.low if domain.with_low else math.nextafter(domain.low, math.inf)
            domains.append((name, low, domain.high))
        elif name in _PARTS:
            parts.append((name, "" if name == "run_list" else f"{inside}{name}."))
    return tuple(domains), tuple(parts)


def _is_possible(number: Number) -> bool:
    return number.value in DOMAINS[number.member]


def without(facts: Facts, left_out: tuple[Number, ...]) -> Facts:
    """Return the facts as if these numbers had not been logged."""
    if not left_out:
        return facts
    kept: Facts = _kept(facts, "", frozenset(number.path for number in left_out))
    return kept


def _kept(thing: Any, path: str, left_out: frozenset[str]) -> Any:
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
