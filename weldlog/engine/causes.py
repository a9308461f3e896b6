"""Likely causes of the imperfections that were seen, tied to what was logged.

Rows of the cause matrix (preparation notes, section 3.3); the strengths are a teaching judgment.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Final, Literal, get_args

from weldlog.engine.acceptance import Verdict
from weldlog.engine.conditions import Condition, condition
from weldlog.engine.facts import Facts, Process
from weldlog.engine.findings import Case, Finding, Value
from weldlog.engine.imperfection_list import ImperfectionKind, find, lineage
from weldlog.engine.logged import told
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
        self.told = told(case, {name for finding in slips for name in finding.fields})
        self.found: dict[str, list[Finding]] = {}
        for finding in findings:
            # A number that a slip of the unit would explain says nothing about the weld.
            if not finding.suggestion:
                self.found.setdefault(finding.rule.id, []).append(finding)

    def named(self, rule: str) -> Iterator[Finding]:
        """Return the findings of a rule; a name that ends in ``*`` takes stops and warnings."""
        if not rule.endswith("*"):
            yield from self.found.get(rule, ())
            return
        for each, findings in self.found.items():
            if each.startswith(rule[:-1]):
                yield from (found for found in findings if found.severity != "advise")


@dataclass(frozen=True, slots=True)
class FiredRule:
    """Evidence by a finding; ``low`` and ``high`` say on which side of its limit it has to lie."""

    rule: str
    side: str

    def fields(self, log: Log) -> tuple[str, ...] | None:
        """Return the members that speak for it, or None where nothing does."""
        return next((each.fields for each in log.named(self.rule) if self._speaks(each)), None)

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
        return outcome.fields if outcome.met else None


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseRow:
    """One row of the cause matrix.

    ``against`` says when the log rules the cause out: what ``check`` names was logged, and none of
    the ``evidence`` was found. It is None where no log can tell.
    """

    imperfections: tuple[str, ...]
    cause: str
    strength: int
    process: str
    evidence: tuple[FiredRule | RecordedFact, ...]
    against: Condition | None
    check: str
    coaching: str
    source: str

    def cause_of(self, number: str, log: Log) -> Cause | None:
        """Return the cause that this row gives for an imperfection, or None if it is ruled out."""
        spoken = (each.fields(log) for each in self.evidence)
        fields = next((each for each in spoken if each is not None), None)
        recorded = fields is not None
        if not recorded and self.against is not None and self.against.of(log.told).met:
            return None
        return Cause(
            imperfection=number,
            cause=self.cause,
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
        cause=row["cause"],
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
    """Return the rows that speak of a kind or its parents, in the order of the table."""
    keys = set(lineage(kind))
    return tuple(
        row
        for row in CAUSES
        if row.process in ("", process) and not keys.isdisjoint(row.imperfections)
    )


def usual_causes(kind: ImperfectionKind) -> tuple[CauseRow, ...]:
    """Return the causes to look at first where nothing was logged: the strongest three rows."""
    found = dict.fromkeys(row for process in PROCESSES for row in rows_of(kind, process))
    in_order = sorted(found, key=lambda row: (-row.strength, CAUSES.index(row)))
    return tuple(in_order[:MOST])


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
    possible = (row.cause_of(number, log) for row in rows_of(kind, log.facts.process))
    found = [cause for cause in possible if cause is not None]
    found.sort(key=lambda cause: (cause.evidence == "none", -cause.strength))
    yield from found[:MOST]
