"""Rules that stand in a table: one row says when it speaks, how loudly, and in which words."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, get_args

from weldlog.engine.conditions import Condition, Outcome, condition
from weldlog.engine.facts import Process
from weldlog.engine.findings import Finding, NotAssessed, Rule
from weldlog.engine.possible import DOMAINS
from weldlog.engine.tables import rows
from weldlog.engine.written import in_units

_NEVER_NAMED = frozenset({"process"})


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


def read_rules(table: str, *, inside: str = "") -> tuple[TableRule, ...]:
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
    return tuple(_table_rule(row, inside) for row in rows(table))


def by_process(table_rules: Iterable[TableRule]) -> dict[Process, tuple[TableRule, ...]]:
    """Return, for each process, the rules that can speak of it, with the process left out."""
    rules = tuple(table_rules)
    return {
        process: tuple(
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


def judge(
    table_rules: Iterable[TableRule], thing: Any, *, inside: str = ""
) -> Iterator[Finding | NotAssessed]:
    """Judge one thing by every rule of a table.

    What is missing is gathered by topic and comes last.
    """
    missing: dict[str, dict[str, None]] = {}
    for each in table_rules:
        outcome = each.when.of(thing)
        if outcome.met:
            yield _finding(each.rule, outcome, inside)
        elif outcome.fields and each.topic:
            named = dict.fromkeys(_named(outcome.fields, inside))
            missing.setdefault(each.topic, {}).update(named)
    for topic, fields in missing.items():
        yield NotAssessed(topic, tuple(fields))


def judge_each(
    table_rules: Iterable[TableRule], things: Sequence[Any], *, inside: str
) -> Iterator[Finding]:
    """Judge several things; a rule speaks once, of the first thing that it is true of."""
    for each in table_rules:
        for thing in things:
            outcome = each.when.of(thing)
            if outcome.met:
                yield _finding(each.rule, outcome, inside)
                break


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
