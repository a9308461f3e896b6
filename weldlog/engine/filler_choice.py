"""Which fillers a pair of base metals may be welded with, best first, and why.

The charts propose and the rules dispose: every filler is put on an imagined coupon and judged by
the same rules as a logged one, so that nothing is offered here that a review would stop.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from typing import Any, Final, Literal

from weldlog.engine import alloys, unlisted
from weldlog.engine.dilution import usual_share
from weldlog.engine.facts import Joint, Process, Service, Weld
from weldlog.engine.filler_metals import FILLERS
from weldlog.engine.filler_notes import NOTES
from weldlog.engine.filler_offer import Asked, Offer, Verdict, judged

__all__ = ["FillerChoice", "JudgedFor", "Offer", "Said", "Verdict", "choose"]

Weldable = Literal["readily", "with_care", "not_recommended", "unknown"]

_WORST_LAST: Final = ("weldable", "readily", "with_care", "not_recommended")
_UNWELDABLE_CASTING: Final = re.compile(r"\s*[A-Za-z]?[27]\d\d(?:\.\d)?\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedFor:
    """The joint that a choice holds for; ``base_percent`` of its weld is base metal."""

    process: Process
    joint: Joint | None
    weld: Weld | None
    base_percent: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """A sentence of the guide and the key of its source."""

    says: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FillerChoice:
    """Every filler of the tables for a pair of base metals, best first.

    ``fillers`` is empty where an alloy is not known. ``sources_disagree`` says in a few words
    where the charts differ; ``notes`` say what no fact of a coupon decides.
    """

    base_metals: tuple[str, ...]
    weldable: Weldable
    why: str
    judged_for: JudgedFor | None = None
    sources_disagree: str = ""
    fillers: tuple[Offer, ...] = ()
    notes: tuple[Said, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return the choice in the shape of ``tests/contract/filler.schema.json``."""
        return {
            "base_metals": list(self.base_metals),
            "weldable": self.weldable,
            "why": self.why,
            "judged_for": asdict(self.judged_for) if self.judged_for else None,
            "sources_disagree": self.sources_disagree,
            "fillers": [offer.as_json() for offer in self.fillers],
            "notes": [asdict(note) for note in self.notes],
        }


def choose(
    alloy_a: str,
    alloy_b: str | None = None,
    *,
    above_65_c: bool = False,
    anodised_after: bool = False,
    heat_treated_after: bool = False,
    weld: Weld | None = "fillet",
    process: Process = "GTAW",
    joint: Joint | None = None,
) -> FillerChoice:
    """Return every filler for one alloy, or for two, with a verdict and the reasons for it.

    Parameters
    ----------
    alloy_a, alloy_b : str
        Designations as people type them; the second one only where the sides differ.
    above_65_c, anodised_after, heat_treated_after : bool
        What the part is for.
    weld, process, joint : str
        What says how much base metal melts; a fillet by GTAW unless told. A square butt melts
        far more, and what is offered for a fillet may be stopped there.

    >>> choose("6061").fillers[0].designation
    '4043'
    >>> choose("6061", anodised_after=True).fillers[0].designation
    '5356'
    >>> choose("6061", weld="square_groove").fillers[0].designation
    '4047'
    """
    typed = (alloy_a,) if alloy_b is None else (alloy_a, alloy_b)
    found = [alloy for each in typed if (alloy := alloys.find(each))]
    if len(found) < len(typed):
        return _unknown(typed)
    side_a, side_b = sorted((found[0], found[-1]), key=lambda alloy: alloy.designation)
    service = Service(
        above_65_c=above_65_c,
        anodised_after=anodised_after,
        heat_treated_after=heat_treated_after,
    )
    asked = Asked(sides=(side_a, side_b), process=process, joint=joint, weld=weld, service=service)
    return replace(_chosen(asked), base_metals=tuple(alloy.designation for alloy in found))


@lru_cache(maxsize=1024)  # a class asks about the same few pairs
def _chosen(asked: Asked) -> FillerChoice:
    ranked = sorted((judged(asked, each) for each in FILLERS.values()), key=lambda each: each.rank)
    offers = tuple(each.offer(best=not place) for place, each in enumerate(ranked))
    return FillerChoice(
        base_metals=tuple(side.designation for side in asked.sides),
        weldable=_weldable(asked),
        why=_why(asked),
        judged_for=_judged_for(asked),
        sources_disagree=asked.pair.sources_disagree,
        fillers=offers,
        notes=_notes(asked, offers),
    )


def _judged_for(asked: Asked) -> JudgedFor:
    share = usual_share(asked.coupon())
    return JudgedFor(
        process=asked.process,
        joint=asked.joint,
        weld=asked.weld,
        base_percent=100 * share.usual if share else None,
    )


def _notes(asked: Asked, offers: tuple[Offer, ...]) -> tuple[Said, ...]:
    offered = {
        each.designation for each in offers if each.verdict in ("first_choice", "acceptable")
    }
    if not offered:
        return ()
    return tuple(
        Said(says=note.says, source=note.source)
        for note in NOTES
        if note.applies(asked.sides, offered)
    )


def _weldable(asked: Asked) -> Weldable:
    standings = (asked.pair.standing, *(side.weldability for side in asked.sides))
    worst = max(standings, key=_WORST_LAST.index)
    return "readily" if worst == "weldable" else worst


def _why(asked: Asked) -> str:
    """Say how each side takes to welding; of sides that do not go together, only that."""
    sides, pair = dict.fromkeys(asked.sides), asked.pair
    closed = [side for side in sides if side.weldability == "not_recommended"]
    apart = pair.standing == "not_recommended"
    said = [f"{side.designation}: {side.why}" for side in (closed if apart else sides)]
    if pair.standing != "weldable" and pair.why not in (side.why for side in sides):
        said.append(pair.why)
    if asked.service.above_65_c and not apart:
        said += [each.says for side in sides for each in alloys.warm_service(side)]
    return " ".join(said)


def _unknown(typed: tuple[str, ...]) -> FillerChoice:
    found = {each: alloys.find(each) for each in typed}
    missing = [each for each, alloy in found.items() if alloy is None]
    others = dict.fromkeys(other for each in missing if (other := unlisted.other_metal(each)))
    return FillerChoice(
        base_metals=tuple(alloy.designation if alloy else each for each, alloy in found.items()),
        weldable="not_recommended" if others else "unknown",
        why=_apart(others) if others else " ".join(_not_in_tables(missing)),
    )


def _apart(others: Iterable[str]) -> str:
    says = [unlisted.NOT_FUSED.format(metal=each.capitalize()) for each in others]
    return " ".join([*says, "Ask your instructor how such parts are joined instead."])


def _not_in_tables(missing: list[str]) -> Iterator[str]:
    """Say what is not known: an alloy that was named is looked up, another one found out."""
    named = {each: unlisted.designation(each) for each in missing}
    yield from dict.fromkeys(unlisted.not_listed(name) for name in named.values() if name)
    unnamed = [each for each, name in named.items() if not name]
    if unnamed:
        yield (
            f"{' and '.join(filter(None, unnamed)) or 'The metal'}: not in the tables, so no "
            "filler is named. Read the stamp, the label or the certificate, or ask who supplied "
            "the metal; looks do not tell one alloy from another."
        )
    if any(_UNWELDABLE_CASTING.fullmatch(each) for each in missing):
        yield "Castings of the 2xx.0 and 7xx.0 series are mostly not weldable."
