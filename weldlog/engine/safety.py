"""Safety: the dangers that were logged, and the cautions that belong to the work.

Rows F01 to F21 of the preparation notes, and F22 of repair work. A danger that was logged is a
finding and outranks all others; a caution is shown beside the work and is never counted. Local
code, the safety data sheet and licensed practice come before both.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, Final

from weldlog.engine.cleaning_done import REMEMBERED, Done, chlorinated, done
from weldlog.engine.conditions import condition
from weldlog.engine.drying import happened, wet_at_the_arc
from weldlog.engine.facts import BaseMetal, Coating, DiscCondition, Edge, Facts
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.rulebook import judge, judge_each, read_rules
from weldlog.engine.sieve import Sieve, sieve
from weldlog.engine.sources import source
from weldlog.engine.tables import rows

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
    steps = happened(facts)
    yield from _steps(steps)
    yield from judge_each(_STOCK, facts.base_metals or (), inside="base_metals.")
    if wet_at_the_arc(steps) and not chlorinated(steps):
        yield SOLVENT_NOT_DRIED.found()
    yield from judge(_SETUP, facts)


@lru_cache(maxsize=REMEMBERED)
def _steps(steps: tuple[Done, ...]) -> tuple[Finding, ...]:
    return tuple(judge_each(_STEPS, steps, inside="cleaning."))


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


def _read(row: dict[str, str]) -> Caution:
    source(row["source"])
    return Caution(
        id=row["id"],
        says=row["says"],
        documents=tuple(row["documents"].split("; ")),
        source=row["source"],
        row=row["row"],
    )


_ROWS: Final = rows("cautions.tsv")
CAUTIONS: Final[tuple[Caution, ...]] = tuple(_read(row) for row in _ROWS)
# What a caution is shown for: something logged, a cleaning step, a side of the joint. Without any
# of the three it is always shown.
_ALWAYS: Final = frozenset(
    place for place, row in enumerate(_ROWS) if not (row["when"] or row["step"] or row["metal"])
)


def _shown_for(column: str) -> tuple[tuple[int, ...], Sieve]:
    """Return the places of the cautions that a column speaks of, and its sieve."""
    places = tuple(place for place, row in enumerate(_ROWS) if row[column])
    return places, sieve([condition(_ROWS[place][column]) for place in places])


_WHEN: Final = _shown_for("when")
_STEP: Final = _shown_for("step")
_METAL: Final = _shown_for("metal")


def cautions(facts: Facts) -> tuple[Caution, ...]:
    """Return the cautions that belong to what was logged, in the order of the table."""
    shown = _met(_WHEN, facts)
    for step in done(facts.cleaning or ()):
        shown |= _for_step(step)
    for side in facts.base_metals or ():
        shown |= _for_metal(side.coating, side.edge, side.disc_condition)
    return _in_order(shown)


def _met(shown_for: tuple[tuple[int, ...], Sieve], thing: Any) -> frozenset[int]:
    places, look = shown_for
    return frozenset([places[met.place] for met in look(thing)[0]])


@lru_cache(maxsize=REMEMBERED)
def _for_step(step: Done) -> frozenset[int]:
    return _met(_STEP, step)


@lru_cache(maxsize=REMEMBERED)
def _for_metal(
    coating: Coating | None, edge: Edge | None, disc: DiscCondition | None
) -> frozenset[int]:
    return _met(_METAL, BaseMetal(coating=coating, edge=edge, disc_condition=disc))


@cache
def _in_order(shown: frozenset[int]) -> tuple[Caution, ...]:
    return tuple(CAUTIONS[place] for place in sorted(_ALWAYS | shown))
