"""Likely causes of the imperfections that were seen, tied to what was logged.

Rows of the cause matrix (preparation notes, section 3.3); the strengths are a teaching judgment.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import chain, islice
from typing import Any, Final, Literal, get_args

from weldlog.engine.acceptance import Verdict
from weldlog.engine.conditions import Condition, condition
from weldlog.engine.facts import Facts, Process
from weldlog.engine.findings import Case, Finding, Value
from weldlog.engine.imperfection_list import ImperfectionKind, find, lineage
from weldlog.engine.logged import Told, logged_as
from weldlog.engine.sources import source
from weldlog.engine.tables import rows

Evidence = Literal["recorded", "none"]
MOST: Final = 3
PROCESSES: Final[tuple[Process, ...]] = get_args(Process)
CANNOT_TELL: Final = "The log cannot tell; next time check {check}."
_SIDES: Final = ("", "low", "high")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One likely cause of one imperfection.

    Parameters
    ----------
    imperfection : str
        Number of the imperfection as it was logged.
    cause : str
        Name of the cause in the table.
    strength : int
        3 look here first, 2 likely, 1 possible.
    evidence : str
        ``recorded`` where an abnormal value in the log speaks for it, else ``none``.
    fields : tuple of str
        Members of the coupon that speak for it.
    template : str
        The coaching sentence with named places for ``values``.
    source : str
        Key of the source.
    """

    imperfection: str
    cause: str
    strength: int
    evidence: Evidence
    fields: tuple[str, ...]
    template: str
    source: str
    values: Mapping[str, Value] = field(default_factory=dict)

    @property
    def coaching(self) -> str:
        """The sentence filled with its values."""
        return self.template.format_map(self.values)

    def as_json(self) -> dict[str, Any]:
        """Return it in the shape of ``tests/contract/review.schema.json``."""
        return {
            "imperfection": self.imperfection,
            "cause": self.cause,
            "strength": self.strength,
            "evidence": self.evidence,
            "fields": list(self.fields),
            "coaching": self.coaching,
            "values": dict(self.values),
        }


class Log:
    """What speaks for a cause or against it.

    ``told`` are the facts of a coupon and what follows from them, ``found`` is what was found on
    it, by rule.
    """

    __slots__ = ("facts", "found", "told")

    def __init__(self, case: Case, findings: Sequence[Finding]) -> None:
        self.facts: Facts = case.facts
        slips = [finding for finding in findings if finding.suggestion]
        self.told = Told(case, {name for finding in slips for name in finding.fields})
        self.found: dict[str, list[Finding]] = {}
        for finding in findings:
            # A number that a slip of the unit would explain says nothing about the weld.
            if not finding.suggestion:
                self.found.setdefault(finding.rule.id, []).append(finding)

    def named(self, rule: str) -> Sequence[Finding]:
        """Return the findings of a rule; a name that ends in ``*`` takes stops and warnings."""
        if rule[-1] != "*":
            return self.found.get(rule, ())
        return [
            found
            for each, findings in self.found.items()
            if each.startswith(rule[:-1])
            for found in findings
            if found.severity != "advise"
        ]


@dataclass(frozen=True, slots=True)
class FiredRule:
    """Evidence by a finding; ``low`` and ``high`` say on which side of its limit it has to lie."""

    rule: str
    side: str

    def fields(self, log: Log) -> tuple[str, ...] | None:
        """Return the members that speak for it, or None where nothing does."""
        for each in log.named(self.rule):
            if self._speaks(each):
                return each.fields
        return None

    def _speaks(self, finding: Finding) -> bool:
        measured, limit = finding.measured, finding.limit
        if not self.side:
            return True
        if not isinstance(measured, float | int) or not isinstance(limit, float | int):
            return False
        return measured < limit if self.side == "low" else measured > limit


@dataclass(frozen=True, slots=True)
class RecordedFact:
    """Evidence by a condition on what was logged."""

    when: Condition

    def fields(self, log: Log) -> tuple[str, ...] | None:
        """Return the members that speak for it, or None where nothing does."""
        outcome = self.when.of(log.told)
        if not outcome.met:
            return None
        return tuple(name for each in outcome.fields for name in logged_as(each, log.facts))


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseRow:
    """One row of the cause matrix.

    ``against`` says when the log rules the cause out: what ``check`` names was logged, and none of
    the ``evidence`` was found. It is None where no log can tell.
    """

    imperfections: tuple[str, ...]
    name: str
    strength: int
    process: str
    evidence: tuple[FiredRule | RecordedFact, ...]
    against: Condition | None
    check: str
    coaching: str
    source: str

    def spoken_for(self, log: Log) -> tuple[str, ...] | None:
        """Return the members that speak for this cause, or None where nothing does."""
        for each in self.evidence:
            fields = each.fields(log)
            if fields is not None:
                return fields
        return None

    def ruled_out(self, log: Log) -> bool:
        """Return whether the log speaks against this cause; only where nothing speaks for it."""
        return self.against is not None and self.against.of(log.told).met

    def cause(self, number: str, fields: tuple[str, ...] | None) -> Cause:
        """Return the cause that this row gives for an imperfection, and what speaks for it."""
        recorded = fields is not None
        return Cause(
            imperfection=number,
            cause=self.name,
            strength=self.strength,
            evidence="recorded" if recorded else "none",
            fields=fields or (),
            template=self.coaching if recorded else CANNOT_TELL,
            source=self.source,
            values={} if recorded else {"check": self.check},
        )


def _evidence(text: str) -> FiredRule | RecordedFact:
    """Read one piece of evidence: conditions have members with underscores, rules have dashes."""
    rule, _, side = text.partition(" ")
    if "-" in rule and side in _SIDES:
        return FiredRule(rule, side)
    return RecordedFact(condition(text))


def _row(row: dict[str, str]) -> CauseRow:
    source(row["source"])
    return CauseRow(
        imperfections=tuple(row["imperfections"].split()),
        name=row["cause"],
        strength=int(row["strength"]),
        process=row["process"],
        evidence=tuple(_evidence(text) for text in row["evidence"].split("; ")),
        against=condition(row["against"]) if row["against"] else None,
        check=row["check"],
        coaching=row["coaching"],
        source=row["source"],
    )


CAUSES: Final = tuple(_row(row) for row in rows("causes.tsv"))


@cache
def rows_of(kind: ImperfectionKind, process: str) -> tuple[CauseRow, ...]:
    """Return the rows that speak of a kind or its parents, the strongest first.

    Rows of one strength keep the order of the table.
    """
    keys = set(lineage(kind))
    found = (
        row
        for row in CAUSES
        if row.process in ("", process) and not keys.isdisjoint(row.imperfections)
    )
    return tuple(sorted(found, key=lambda row: -row.strength))


def causes_in_order(kind: ImperfectionKind) -> tuple[CauseRow, ...]:
    """Return every cause of a kind in any process, the strongest first."""
    found = dict.fromkeys(row for process in PROCESSES for row in rows_of(kind, process))
    return tuple(sorted(found, key=lambda row: (-row.strength, CAUSES.index(row))))


def usual_causes(kind: ImperfectionKind) -> tuple[CauseRow, ...]:
    """Return the causes to look at first where nothing was logged: the strongest three rows."""
    return causes_in_order(kind)[:MOST]


def causes(
    case: Case, findings: Sequence[Finding], verdicts: Sequence[Verdict] = ()
) -> tuple[Cause, ...]:
    """Return at most three likely causes for each imperfection of a coupon.

    A cause with an abnormal recorded value comes before one without; then the stronger one, then
    the one that stands first in the table. One that the log speaks against is left out. A number
    that was logged twice is answered once.

    Parameters
    ----------
    case : Case
    findings : sequence of Finding
        What the other families found.
    verdicts : sequence of Verdict
        What acceptance says: a size that was measured and rejected needs a cause though nobody
        named it.
    """
    numbers = dict.fromkeys(each.number for each in case.facts.imperfections or ())
    if verdicts:
        numbers |= dict.fromkeys(e.imperfection for e in verdicts if e.verdict == "reject")
    if not numbers:
        return ()
    log = Log(case, findings)
    return tuple(cause for number in numbers for cause in _likeliest(number, log))


def _likeliest(number: str, log: Log) -> Iterator[Cause]:
    kind = find(number)
    if kind is None:
        return
    rows = rows_of(kind, log.facts.process)
    spoken = [(row, fields) for row in rows if (fields := row.spoken_for(log)) is not None]
    recorded = {id(row) for row, _ in spoken}
    silent = ((row, None) for row in rows if id(row) not in recorded and not row.ruled_out(log))
    for row, fields in islice(chain(spoken, silent), MOST):
        yield row.cause(number, fields)
