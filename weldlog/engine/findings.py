"""What the engine has to say: rules, the findings they make, and what could not be judged."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from weldlog.engine.facts import Facts
from weldlog.engine.figures import Figures
from weldlog.engine.school import SchoolRules
from weldlog.engine.sources import source
from weldlog.engine.written import joined

Severity = Literal["stop", "warn", "advise"]
SEVERITIES: tuple[Severity, ...] = ("stop", "warn", "advise")

_ID = re.compile(r"(filler|alloy|cleaning|setup|entry|heat|bead|inspection|safety)-[a-z0-9-]+")

type Value = float | str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that a rule found on one coupon."""

    rule: "Rule"
    severity: Severity
    fields: tuple[str, ...]
    measured: Value = None
    limit: Value = None
    suggestion: Mapping[str, Value] | None = None
    values: Mapping[str, Value] = field(default_factory=dict)

    @property
    def says(self) -> str:
        """The rule's sentence filled with this finding's values."""
        return self.rule.says.format_map(self.values)

    def as_json(self) -> dict[str, Any]:
        """Return the finding in the shape of ``tests/contract/review.schema.json``."""
        return {
            "rule": self.rule.id,
            "severity": self.severity,
            "says": self.says,
            "fields": list(self.fields),
            "measured": self.measured,
            "limit": self.limit,
            "suggestion": dict(self.suggestion) if self.suggestion else None,
            "source": self.rule.source,
            "values": dict(self.values),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule of the trade.

    Parameters
    ----------
    id : str
        Begins with its family: ``cleaning-degrease-missing``.
    severity : str
        ``stop`` (do not strike an arc, or do not accept), ``warn`` or ``advise``.
    says : str
        One or two plain sentences for a student, with named places for ``values``.
    source : str
        Key of the source.
    fields : tuple of str
        Members of the coupon that it rests on.

    Raises
    ------
    ValueError
        When the id has no family, the severity is unknown or the source is not in the tables.
    """

    id: str
    severity: Severity
    says: str
    source: str
    fields: tuple[str, ...]

    def __post_init__(self) -> None:
        if not _ID.fullmatch(self.id):
            raise ValueError(f"{self.id}: a rule id begins with its family.")
        if self.severity not in SEVERITIES:
            raise ValueError(f"{self.id}: no such severity: {self.severity}.")
        object.__setattr__(self, "says", joined(self.says))
        source(self.source)

    def found(
        self,
        *,
        severity: Severity | None = None,
        fields: tuple[str, ...] | None = None,
        measured: Value = None,
        limit: Value = None,
        suggestion: Mapping[str, Value] | None = None,
        **values: Value,
    ) -> Finding:
        """Return a finding of this rule; ``values`` fill the places of its sentence."""
        return Finding(
            rule=self,
            severity=severity or self.severity,
            fields=self.fields if fields is None else fields,
            measured=measured,
            limit=limit,
            suggestion=suggestion,
            values=values,
        )


@dataclass(frozen=True, slots=True)
class NotAssessed:
    """Something that could not be judged, and the members that are missing for it."""

    what: str
    missing: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """Return it in the shape of ``tests/contract/review.schema.json``."""
        return {"what": self.what, "missing": list(self.missing)}


@dataclass(frozen=True, slots=True)
class Case:
    """What every rule family is given: the facts, their figures and the rules of the school."""

    facts: Facts
    figures: Figures
    school: SchoolRules
