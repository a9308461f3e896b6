"""Verdicts of acceptance: is an imperfection within the limits of the set that was chosen?

The classroom visual set (rows CV01 to CV12 of the preparation dossier) is the default. Its limits
were read in a bridge-repair manual (prep-S2) and serve here for teaching only. Where the log
does not hold what a limit needs, and for every other set, the verdict is to look it up; a crack
is rejected in every set.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any, Final, Literal, get_args

from weldlog.engine.facts import Facts
from weldlog.engine.findings import Case
from weldlog.engine.imperfection_list import find, lineage
from weldlog.engine.inspected import Imperfection
from weldlog.engine.sources import Standing, source
from weldlog.engine.tables import rows

JudgedBy = Literal[
    "never", "never_in_butt", "size", "share_of_thickness", "weld_thickness", "undersize"
]
VerdictWord = Literal["accept", "reject", "look_up"]
CLASSROOM: Final = "classroom"
_HUNDREDTH: Final = Decimal("0.01")


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What a set of limits says of one imperfection. Sizes in mm, to 0.01 mm.

    Parameters
    ----------
    imperfection : str
        Its number, as logged or as it follows from what was measured.
    set : str
        Name of the set of limits.
    verdict : str
        ``accept``, ``reject``, or ``look_up`` where the log or the set does not tell.
    measured_mm, limit_mm : float or None
    source : str
        Key of the source of the limit.
    """

    imperfection: str
    set: str
    verdict: VerdictWord
    source: str
    measured_mm: float | None = None
    limit_mm: float | None = None

    @property
    def standing(self) -> Standing:
        """The standing of the limit: read, memory, practice or doubtful."""
        return source(self.source).standing

    def as_json(self) -> dict[str, Any]:
        """Return it in the shape of ``tests/contract/review.schema.json``."""
        return {
            "imperfection": self.imperfection,
            "set": self.set,
            "verdict": self.verdict,
            "measured_mm": self.measured_mm,
            "limit_mm": self.limit_mm,
            "source": self.source,
            "standing": self.standing,
        }


@dataclass(frozen=True, slots=True)
class Limit:
    """One row of the classroom set."""

    judged_by: JudgedBy
    value: Decimal | None
    source: str
    row: str


def _limit(row: dict[str, str]) -> Limit:
    if row["judged_by"] not in get_args(JudgedBy):
        raise ValueError(f"limits_classroom.tsv: {row['kind']}: no such way to judge.")
    value = Decimal(row["value"]) if row["value"] else None
    return Limit(row["judged_by"], value, source(row["source"]).key, row["row"])  # type: ignore[arg-type]


LIMITS: Final = {row["kind"]: _limit(row) for row in rows("limits_classroom.tsv")}


def hundredths(value: float | Decimal) -> Decimal:
    """Return a size to 0.01 mm, as a decimal, so that equal sizes compare equal [mm].

    >>> hundredths(5 - 4.3)
    Decimal('0.70')
    """
    return Decimal(str(value)).quantize(_HUNDREDTH, ROUND_HALF_UP)


def acceptance(case: Case) -> tuple[Verdict, ...]:
    """Return a verdict for each imperfection that was logged, then for what was measured.

    The size of a fillet is judged from its legs, and an open crater as a crater pipe, even where
    nobody named an imperfection. Equality accepts.
    """
    facts = case.facts
    chosen = facts.acceptance_set or CLASSROOM
    seen = (*(facts.imperfections or ()), *_implied(facts))
    return tuple(_verdict(facts, each, chosen) for each in seen)


def _implied(facts: Facts) -> Iterator[Imperfection]:
    """Return what the log says without naming it: a fillet that was measured, an open crater."""
    named = {kind.key for each in facts.imperfections or () if (kind := find(each.number))}
    if "throat_small" not in named and undersize_mm(facts) is not None:
        yield Imperfection(number="5213")
    if "crater_pipe" not in named and facts.crater_filled is False:
        yield Imperfection(number="2025")


def undersize_mm(facts: Facts) -> Decimal | None:
    """Return what the shorter leg of a fillet lacks [mm], 0 where it is long enough."""
    fillet = facts.fillet
    legs = [fillet.leg_1_mm, fillet.leg_2_mm] if fillet else []
    known = [leg for leg in legs if leg is not None]
    if fillet is None or fillet.nominal_leg_mm is None or not known:
        return None
    lacking = Decimal(str(fillet.nominal_leg_mm)) - Decimal(str(min(known)))
    return max(hundredths(lacking), Decimal(0))


def _verdict(facts: Facts, seen: Imperfection, chosen: str) -> Verdict:
    kind = find(seen.number)
    keys = lineage(kind) if kind else ()
    limit = next((LIMITS[key] for key in keys if key in LIMITS), None)
    if chosen != CLASSROOM and "crack" not in keys:
        unread = "memory-iso-10042" if chosen.startswith("iso10042") else "practice"
        return Verdict(imperfection=seen.number, set=chosen, verdict="look_up", source=unread)
    if limit is None:
        return Verdict(imperfection=seen.number, set=chosen, verdict="look_up", source="practice")
    return _held_against(facts, seen, limit, chosen)


def _held_against(facts: Facts, seen: Imperfection, limit: Limit, chosen: str) -> Verdict:
    """Judge one imperfection by one row of the classroom set."""
    size, most = _size(facts, seen, limit), _largest(facts, limit)
    never = limit.judged_by == "never"
    never = never or (limit.judged_by == "never_in_butt" and facts.joint == "butt")
    return Verdict(
        imperfection=seen.number,
        set=chosen,
        verdict="reject" if never else _compared(size, most),
        source=limit.source,
        measured_mm=None if size is None else float(size),
        limit_mm=None if most is None else float(most),
    )


def _compared(size: Decimal | None, most: Decimal | None) -> VerdictWord:
    if size is None or most is None:
        return "look_up"
    return "accept" if size <= most else "reject"


def _size(facts: Facts, seen: Imperfection, limit: Limit) -> Decimal | None:
    if limit.judged_by == "undersize":
        return undersize_mm(facts)
    return None if seen.size_mm is None else hundredths(seen.size_mm)


def _largest(facts: Facts, limit: Limit) -> Decimal | None:
    """Return the largest size that is accepted [mm], or None where the log cannot say."""
    if limit.value is None:
        return None
    match limit.judged_by:
        case "share_of_thickness":
            return _share_of_thickness(facts, limit.value)
        case "weld_thickness":
            return _weld_thickness(facts, limit.value)
    return limit.value


def _share_of_thickness(facts: Facts, share: Decimal) -> Decimal | None:
    """Return a share of the thinner side [mm]: nobody logs on which side an undercut lies."""
    sides = [side.thickness_mm for side in facts.base_metals or ()]
    known = [Decimal(str(each)) for each in sides if each is not None]
    return hundredths(min(known) * share) if known and len(known) == len(sides) else None


def _weld_thickness(facts: Facts, cap: Decimal) -> Decimal | None:
    """Return how deep the root may lie [mm]: no more than the face stands above the plate."""
    excess = facts.groove.excess_weld_metal_mm if facts.groove else None
    return None if excess is None else min(max(hundredths(excess), Decimal(0)), cap)
