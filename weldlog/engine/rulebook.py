"""Rules that stand in a table: one row says when it speaks, how loudly, and in which words."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final, get_args

from weldlog.engine.conditions import Condition, Outcome, condition
from weldlog.engine.facts import Process
from weldlog.engine.findings import Finding, NotAssessed, Rule
from weldlog.engine.possible import DOMAINS
from weldlog.engine.sieve import Missing, Sieve, sieve
from weldlog.engine.tables import rows
from weldlog.engine.written import in_units

_NEVER_NAMED: Final = frozenset({"process"})


@dataclass(frozen=True, slots=True)
class TableRule:
    """A rule and the condition under which it speaks.

    ``topic`` is what could not be judged where a member is missing; a rule without a topic only
    gives a hint, and nobody is told that it was not assessed.
    """

    rule: Rule
    when: Condition
    topic: str


def _named(members: Iterable[str], inside: str) -> tuple[str, ...]:
    """Return the members of the coupon that a finding rests on; the process always is."""
    return tuple(inside + name for name in members if name not in _NEVER_NAMED)


class Rulebook:
    """The rules of one table, in its order.

    Parameters
    ----------
    table_rules : iterable of TableRule
    """

    __slots__ = ("look", "rules")

    def __init__(self, table_rules: Iterable[TableRule]) -> None:
        self.rules: Final = tuple(table_rules)
        self.look: Final[Sieve] = sieve([each.when for each in self.rules])

    def __iter__(self) -> Iterator[TableRule]:
        return iter(self.rules)

    def not_assessed(self, missing: Sequence[Missing], inside: str) -> tuple[NotAssessed, ...]:
        """Return what could not be judged, gathered by topic."""
        by_topic: dict[str, dict[str, None]] = {}
        for each in missing:
            topic = self.rules[each.place].topic
            if topic:
                named = dict.fromkeys(_named((each.member,), inside))
                by_topic.setdefault(topic, {}).update(named)
        return tuple(NotAssessed(topic, tuple(fields)) for topic, fields in by_topic.items())


def read_rules(table: str, *, inside: str = "") -> Rulebook:
    """Read a table of rules (columns: rule, severity, when, topic, says, source, row).

    Parameters
    ----------
    table : str
        File name in ``tables/``.
    inside : str
        Member of the coupon that the conditions look into, with its dot: ``cleaning.``.

    Raises
    ------
    ValueError
        When a row is no rule: an unknown severity, source or condition.
    """
    return Rulebook(_table_rule(row, inside) for row in rows(table))


def by_process(table_rules: Iterable[TableRule]) -> dict[Process, Rulebook]:
    """Return, for each process, the rules that can speak of it, with the process left out."""
    rules = tuple(table_rules)
    return {
        process: Rulebook(
            replace(each, when=when)
            for each in rules
            if (when := each.when.given("process", process)) is not None
        )
        for process in get_args(Process)
    }


def _table_rule(row: dict[str, str], inside: str) -> TableRule:
    when = condition(row["when"])
    rule = Rule(
        id=row["rule"],
        severity=row["severity"],  # type: ignore[arg-type]
        says=row["says"],
        source=row["source"],
        fields=_named(when.members, inside),
    )
    return TableRule(rule, when, row["topic"])


def judge(book: Rulebook, thing: Any, *, inside: str = "") -> Iterator[Finding | NotAssessed]:
    """Judge one thing by every rule of a table.

    What is missing is gathered by topic and comes last.
    """
    met, missing = book.look(thing)
    for place, case in met:
        each = book.rules[place]
        yield _finding(each.rule, each.when.outcome(case, thing), inside)
    if missing:
        yield from _not_assessed(book, tuple(missing), inside)


@lru_cache(maxsize=4096)  # a class leaves out the same members over and over
def _not_assessed(
    book: Rulebook, missing: tuple[Missing, ...], inside: str
) -> tuple[NotAssessed, ...]:
    return book.not_assessed(missing, inside)


def judge_each(book: Rulebook, things: Sequence[Any], *, inside: str) -> Iterator[Finding]:
    """Judge several things; a rule speaks once, of the first thing that it is true of."""
    first: dict[int, Outcome] = {}
    for thing in things:
        for place, case in book.look(thing)[0]:
            if place not in first:
                first[place] = book.rules[place].when.outcome(case, thing)
    for place in sorted(first):
        yield _finding(book.rules[place].rule, first[place], inside)


@lru_cache(maxsize=4096)  # the same choices and round readings come back in every class
def _finding(rule: Rule, outcome: Outcome, inside: str) -> Finding:
    """Fill a rule with ``logged`` (what was logged) and ``wanted`` (what it was held against).

    ``logged_text`` and ``wanted_text`` are the same with their units.
    """
    found = rule.found(
        fields=_named(outcome.fields, inside),
        measured=outcome.measured,
        limit=outcome.limit,
        logged=outcome.measured,
        wanted=outcome.limit,
    )
    return replace(found, values={**found.values, **_with_units(outcome, inside)})


def _with_units(outcome: Outcome, inside: str) -> dict[str, str]:
    member, measured, limit = inside + outcome.fields[-1], outcome.measured, outcome.limit
    if member not in DOMAINS or not isinstance(measured, float | int):
        return {}
    unit = DOMAINS[member].unit
    if not isinstance(limit, float | int):
        return {"logged_text": in_units(measured, unit)}
    return {
        "logged_text": in_units(measured, unit, unlike=limit),
        "wanted_text": in_units(limit, unit),
    }
