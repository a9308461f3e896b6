"""Verdicts of acceptance: is an imperfection within the limits of the set that was chosen?

What was measured is judged even where nobody named an imperfection. Where the log does not hold
what a limit needs, where the school has not confirmed a limit, and where a set says nothing, the
verdict is to look it up; a crack is rejected in every set.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final, Literal, NamedTuple

from weldlog.engine.facts import Facts
from weldlog.engine.findings import Case, NotAssessed
from weldlog.engine.imperfection_list import is_crack
from weldlog.engine.inspected import Imperfection
from weldlog.engine.limit_sets import CLASSROOM, SETS, LimitSet
from weldlog.engine.limits import Limit
from weldlog.engine.measured import (
    MEASURED,
    hundredths,
    implied,
    missing_for,
    porosity_percent,
    reference_mm,
    size_of,
    thickness_mm,
)
from weldlog.engine.sources import Standing, source

VerdictWord = Literal["accept", "reject", "look_up"]
_SIZE: Final = ("imperfections.size_mm",)


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
    source : str
        Key of the source of the limit.
    row : str or None
        Id of the limit, None where the set says nothing of it.
    measured_mm, limit_mm : float or None
    missing : tuple of str
        Members for want of which it has to be looked up.
    """

    imperfection: str
    set: str
    verdict: VerdictWord
    source: str
    row: str | None = None
    measured_mm: float | None = None
    limit_mm: float | None = None
    missing: tuple[str, ...] = ()

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
            "row": self.row,
        }


class Outcome(NamedTuple):
    """What one limit says of one imperfection; sizes in hundredths [0.01 mm]."""

    verdict: VerdictWord
    size: int | None = None
    most: int | None = None
    missing: tuple[str, ...] = ()


def acceptance(case: Case) -> tuple[Verdict, ...]:
    """Return a verdict for each imperfection that was logged, then for what was measured.

    What nobody named is judged where the set has a limit for that very number. Equality accepts.
    """
    facts, name = case.facts, case.facts.acceptance_set or CLASSROOM
    chosen = case.school.own_sets.get(name) or SETS.get(name)
    seen = (*(facts.imperfections or ()), *implied(facts, _unasked(chosen)))
    return tuple(_verdict(case, each, chosen, name) for each in seen)


@lru_cache(maxsize=256)
def _unasked(chosen: LimitSet | None) -> tuple[str, ...]:
    """Return the numbers that a set judges unasked; where no set is known, all are looked up."""
    return tuple(each for each in (*MEASURED, "2025") if not chosen or chosen.of_itself(each))


def lacking(verdicts: Sequence[Verdict]) -> Iterator[NotAssessed]:
    """Return what is missing for the verdicts that have to be looked up."""
    missing = dict.fromkeys(name for each in verdicts for name in each.missing)
    if missing:
        yield NotAssessed("acceptance of what was seen", tuple(missing))


def _verdict(case: Case, seen: Imperfection, chosen: LimitSet | None, name: str) -> Verdict:
    if is_crack(seen.number):
        return _of_crack(seen, chosen or SETS[CLASSROOM], name)
    limits = _applying(case.facts, seen, chosen) if chosen else ()
    if not limits:
        unread = "memory-iso-10042" if name.startswith("iso10042_") else "practice"
        return Verdict(imperfection=seen.number, set=name, verdict="look_up", source=unread)
    outcomes = [_outcome(case, seen, limit) for limit in limits]
    # The first limit decides; one that stands beside it can only reject.
    place = next((n for n, each in enumerate(outcomes) if each.verdict == "reject"), 0)
    limit, found = limits[place], outcomes[place]
    size = _size_seen(case.facts, seen) if found.size is None else found.size
    return Verdict(
        imperfection=seen.number,
        set=name,
        verdict=found.verdict,
        source=limit.source,
        row=limit.id,
        measured_mm=None if size is None else size / 100,
        limit_mm=None if found.most is None else found.most / 100,
        missing=found.missing,
    )


def _of_crack(seen: Imperfection, chosen: LimitSet, name: str) -> Verdict:
    limit = (chosen.of(seen.number) or SETS[CLASSROOM].of(seen.number))[0]
    return Verdict(
        imperfection=seen.number,
        set=name,
        verdict="reject",
        source=limit.source,
        row=limit.id,
        measured_mm=None if (size := _logged(seen)) is None else size / 100,
    )


def _size_seen(facts: Facts, seen: Imperfection) -> int | None:
    """Return what was logged or measured of an imperfection that no limit of size judges."""
    size = size_of(facts, seen)
    return size.hundredths if size else None


def _logged(seen: Imperfection) -> int | None:
    return None if seen.size_mm is None else hundredths(seen.size_mm)


def _applying(facts: Facts, seen: Imperfection, chosen: LimitSet) -> tuple[Limit, ...]:
    """Return the limits of an imperfection that are for this metal, or may be."""
    limits = chosen.of(seen.number)
    if not chosen.thinnest_mm:
        return limits
    thickness = thickness_mm(facts)
    if thickness is not None and thickness < chosen.thinnest_mm:
        return ()
    return tuple(limit for limit in limits if limit.is_for(thickness) is not False)


def _outcome(case: Case, seen: Imperfection, limit: Limit) -> Outcome:
    facts = case.facts
    if not limit.speaks(case.school.confirmed):
        return Outcome("look_up")
    if limit.is_for(None) is None and thickness_mm(facts) is None:
        return Outcome("look_up", missing=("base_metals.thickness_mm",))
    match limit.judged_by:
        case "size" | "undersize" | "root_depth":
            return _by_size(facts, seen, limit)
        case "length":
            return _by_length(facts, seen, limit)
        case "porosity_area":
            return _by_area(facts, seen, limit)
    return _by_rule(facts, limit)


def _by_rule(facts: Facts, limit: Limit) -> Outcome:
    """Judge by a limit that asks for no size."""
    match limit.judged_by:
        case "never":
            return Outcome("reject")
        case "allowed":
            return Outcome("accept")
        case "never_in_butt" if facts.joint == "butt":
            return Outcome("reject")
        case "never_in_butt" if facts.joint is None:
            return Outcome("look_up", missing=("joint",))
        case "never_after_penetrant" if facts.penetrant == "indications":
            return Outcome("reject")
        case "never_after_penetrant" if facts.penetrant in (None, "not_done"):
            return Outcome("look_up", missing=("penetrant",))
    return Outcome("look_up")


def _by_size(facts: Facts, seen: Imperfection, limit: Limit) -> Outcome:
    size = size_of(facts, seen, as_undersize=limit.judged_by == "undersize")
    most = _largest(facts, limit)
    found = size.hundredths if size else None
    if size is None or most is None:
        missing = () if size else _missing_size(limit)
        return Outcome("look_up", found, most, missing + _missing_most(facts, limit, most))
    if size.hundredths > most:
        return Outcome("reject", found, most)
    if size.at_least:
        return Outcome("look_up", found, most, ("fillet.throat_mm",))
    if limit.unsure_above_mm is not None and size.hundredths > hundredths(limit.unsure_above_mm):
        return Outcome("look_up", found, most)
    length = _by_length(facts, seen, limit) if size.hundredths else Outcome("accept")
    return Outcome(length.verdict, found, most, length.missing)


def _missing_size(limit: Limit) -> tuple[str, ...]:
    if limit.judged_by == "undersize":
        return ("fillet.leg_1_mm", "fillet.leg_2_mm")
    return _SIZE


def _missing_most(facts: Facts, limit: Limit, most: int | None) -> tuple[str, ...]:
    if most is not None:
        return ()
    if limit.judged_by == "root_depth":
        return ("groove.excess_weld_metal_mm",)
    return missing_for(facts, limit.of) if limit.of else ()


def _largest(facts: Facts, limit: Limit) -> int | None:
    """Return the largest size that is accepted [0.01 mm], or None where the log cannot say."""
    most = limit.base_mm or 0.0
    if limit.judged_by == "root_depth":
        # The weld is nowhere thinner than the plate: as deep as the face stands above it.
        excess = facts.groove.excess_weld_metal_mm if facts.groove else None
        if excess is None:
            return None
        most = max(excess, 0.0)
    elif limit.of and limit.factor:
        reference = reference_mm(facts, limit.of)
        if reference is None:
            return None
        most += limit.factor * reference
    return hundredths(most if limit.cap_mm is None else min(most, limit.cap_mm))


def _by_length(facts: Facts, seen: Imperfection, limit: Limit) -> Outcome:
    """Judge how much of the weld has it; a limit without a share of the length accepts."""
    if limit.percent_of_length is None:
        return Outcome("accept")
    if seen.length_mm is None or facts.weld_length_mm is None:
        here = () if seen.length_mm is not None else ("imperfections.length_mm",)
        weld = () if facts.weld_length_mm is not None else ("weld_length_mm",)
        return Outcome("look_up", missing=here + weld)
    stretch = min(limit.in_any_mm or facts.weld_length_mm, facts.weld_length_mm)
    most = hundredths(stretch * limit.percent_of_length / 100)
    alike = [each for each in facts.imperfections or () if each.number == seen.number]
    longest = hundredths(seen.length_mm)
    together = hundredths(sum(each.length_mm or 0.0 for each in alike))
    if longest > most or (together > most and stretch == facts.weld_length_mm):
        return Outcome("reject")
    # Several of them in one long weld: the log does not tell how close they lie.
    return Outcome("accept" if together <= most else "look_up")


def _by_area(facts: Facts, seen: Imperfection, limit: Limit) -> Outcome:
    share = porosity_percent(facts, seen)
    if share is None or limit.percent is None:
        return Outcome("look_up")
    return Outcome("accept" if hundredths(share) <= hundredths(limit.percent) else "reject")
