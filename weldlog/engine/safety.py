"""Safety: the dangers that were logged, and the cautions that belong to the work.

Rows F01 to F21 of the preparation notes. A danger that was logged is a finding and outranks all
others; a caution is shown beside the work and is never counted. Local code, the safety data sheet
and licensed practice come before both.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from weldlog.engine.conditions import Condition, condition
from weldlog.engine.facts import Facts
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.rulebook import judge, judge_each, read_rules
from weldlog.engine.sources import source
from weldlog.engine.tables import rows

_FLAMMABLE: Final = frozenset({"acetone", "alcohol"})

SOLVENT_NOT_DRIED: Final = Rule(
    id="safety-solvent-not-dried",
    severity="stop",
    says="Solvent was wiped on and no drying was logged after it. Its vapor catches fire at an arc "
    "or a preheat flame: take cloth and can away, and let the metal dry fully first.",
    source="prep-S12",
    fields=("cleaning",),
)
_STEPS: Final = read_rules("safety_steps.tsv", inside="cleaning.")
_STOCK: Final = read_rules("safety_stock.tsv", inside="base_metals.")
_SETUP: Final = read_rules("safety_setup.tsv")

RULES: Final[tuple[Rule, ...]] = (
    *(each.rule for each in _STEPS),
    *(each.rule for each in _STOCK),
    SOLVENT_NOT_DRIED,
    *(each.rule for each in _SETUP),
)


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Judge the dangers that were logged, chlorinated solvent before all others.

    What is missing is not reported here: the cleaning family asks for it.
    """
    facts = case.facts
    yield from judge_each(_STEPS, facts.cleaning or (), inside="cleaning.")
    yield from judge_each(_STOCK, facts.base_metals or (), inside="base_metals.")
    yield from _solvent(facts)
    yield from judge(_SETUP, facts)


def _solvent(facts: Facts) -> Iterator[Finding]:
    wet = False
    for step in facts.cleaning or ():
        if step.agent in _FLAMMABLE:
            wet = True
        if step.step == "dry":
            wet = False
    if wet:
        yield SOLVENT_NOT_DRIED.found()


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """Safety wording that belongs to the work.

    Parameters
    ----------
    id : str
        Its name.
    says : str
        One to three sentences for a student.
    documents : tuple of str
        The documents that govern it.
    source : str
        Key of the source.
    row : str
        Row of the preparation notes.
    """

    id: str
    says: str
    documents: tuple[str, ...]
    source: str
    row: str

    def as_json(self) -> dict[str, Any]:
        """Return it in the shape of ``tests/contract/review.schema.json``."""
        return {
            "id": self.id,
            "says": self.says,
            "documents": list(self.documents),
            "source": self.source,
        }


@dataclass(frozen=True, slots=True)
class _Shown:
    """A caution and what it is shown for: something logged, a cleaning step, a side of the joint.

    Without any of the three it is always shown.
    """

    caution: Caution
    when: Condition | None
    step: Condition | None
    metal: Condition | None

    def shown(self, facts: Facts) -> bool:
        """Return whether it belongs to this coupon."""
        if self.when is None and self.step is None and self.metal is None:
            return True
        return (
            (self.when is not None and self.when.of(facts).met)
            or _true_of_one(self.step, facts.cleaning)
            or _true_of_one(self.metal, facts.base_metals)
        )


def _true_of_one(wanted: Condition | None, things: tuple[Any, ...] | None) -> bool:
    if wanted is None:
        return False
    return any(wanted.of(thing).met for thing in things or ())


def _read(row: dict[str, str]) -> _Shown:
    source(row["source"])
    caution = Caution(
        id=row["id"],
        says=row["says"],
        documents=tuple(row["documents"].split("; ")),
        source=row["source"],
        row=row["row"],
    )
    when, step, metal = (
        condition(row[name]) if row[name] else None for name in ("when", "step", "metal")
    )
    return _Shown(caution, when, step, metal)


_SHOWN: Final = tuple(_read(row) for row in rows("cautions.tsv"))
CAUTIONS: Final[tuple[Caution, ...]] = tuple(each.caution for each in _SHOWN)


def cautions(facts: Facts) -> tuple[Caution, ...]:
    """Return the cautions that belong to what was logged, in the order of the table."""
    return tuple(each.caution for each in _SHOWN if each.shown(facts))
