"""Which fillers a pair of base metals may be welded with, best first, and why.

The charts propose and the rules dispose: every filler is put on an imagined coupon and judged by
the same rules as a logged one, so that nothing is offered here that a review would stop.
"""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any, Final, Literal

from weldlog.engine import alloys, fillers
from weldlog.engine.alloys import Alloy
from weldlog.engine.dilution import largest_clear_share
from weldlog.engine.facts import BaseMetal, Facts, Filler, Process, Service, Weld
from weldlog.engine.figures import Figures
from weldlog.engine.filler_grades import grades
from weldlog.engine.filler_metals import FILLERS, FillerMetal, Grade
from weldlog.engine.filler_pairs import Pair, pair_of
from weldlog.engine.findings import SEVERITIES, Case, Finding
from weldlog.engine.school import DEFAULT
from weldlog.engine.weld_metal import weld_metal

Verdict = Literal["first_choice", "acceptable", "with_care", "do_not_use"]
Weldable = Literal["readily", "with_care", "not_recommended", "unknown"]

_BEST_FIRST: Final = ("first_choice", "acceptable", "with_care", "do_not_use")
_WORST_LAST: Final = ("weldable", "readily", "with_care", "not_recommended")
_GRADES_BEST_FIRST: Final = ("good", "not_applicable", "fair", "unknown", "poor", "do_not_use")
_SERVICE_GRADE: Final = {
    "above_65_c": "hot_service",
    "anodised_after": "anodised_match",
    "heat_treated_after": "heat_treatment",
}
_SERVICE_RULES: Final = ("filler-anodised-color", "filler-heat-treated-weak")


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """One filler for a pair of base metals; ``source`` is ``rule`` where no chart names it."""

    designation: str
    verdict: Verdict
    properties: dict[str, Grade]
    reasons: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FillerChoice:
    """Every filler of the tables for a pair of base metals, best first.

    ``fillers`` is empty where an alloy is not known. ``sources_disagree`` says in a few words
    where the charts differ.
    """

    base_metals: tuple[str, ...]
    weldable: Weldable
    why: str
    sources_disagree: str = ""
    fillers: tuple[Offer, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return the choice in the shape of ``tests/contract/filler.schema.json``."""
        document = asdict(self)
        document["base_metals"] = list(self.base_metals)
        document["fillers"] = [
            {**asdict(offer), "reasons": list(offer.reasons)} for offer in self.fillers
        ]
        return document


@dataclass(frozen=True, slots=True, kw_only=True)
class _Joint:
    """What is asked: two alloys, the weld between them and what the part is for."""

    sides: tuple[Alloy, Alloy]
    pair: Pair
    process: Process
    weld: Weld
    service: Service

    def findings(self, metal: FillerMetal) -> list[Finding]:
        """Return what a review would say of this filler in this joint."""
        facts = Facts(
            process=self.process,
            weld=self.weld,
            base_metals=tuple(BaseMetal(alloy=side.designation) for side in self.sides),
            filler=Filler(designation=metal.designation),
            service=self.service,
        )
        case = Case(facts, Figures(weld_metal=weld_metal(facts)), DEFAULT)
        spoken = (*alloys.check(case), *fillers.check(case))
        found = [each for each in spoken if isinstance(each, Finding)]
        return sorted(found, key=lambda each: SEVERITIES.index(each.severity))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Judged:
    """One filler with all that speaks for and against it."""

    joint: _Joint
    metal: FillerMetal
    findings: list[Finding]
    properties: dict[str, Grade]

    @property
    def place(self) -> int | None:
        return self.joint.pair.place(FILLERS[self.metal.charted_as])

    @property
    def twin(self) -> bool:
        return self.metal.charted_as != self.metal.designation

    @property
    def refused(self) -> bool:
        pair = self.joint.pair
        named = self.metal.designation in pair.never or pair.standing == "not_recommended"
        return named or any(each.severity == "stop" for each in self.findings)

    @property
    def doubted(self) -> bool:
        """Whether its chemistry draws a warning."""
        return any(
            each.severity == "warn" and each.rule.id not in _SERVICE_RULES for each in self.findings
        )

    @property
    def ill_suited(self) -> bool:
        """Whether what the part is for draws a warning."""
        return any(each.rule.id in _SERVICE_RULES for each in self.findings)

    @property
    def verdict(self) -> Verdict:
        """The verdict before the best one is made the first choice."""
        if self.refused or (self.place is None and self.doubted):
            return "do_not_use"
        charted_first = self.place == 0 and not self.twin
        if self.place is None or self.ill_suited or (self.doubted and not charted_first):
            return "with_care"
        return "acceptable"

    @property
    def rank(self) -> tuple[int, ...]:
        service = self.joint.service
        asked = [
            _GRADES_BEST_FIRST.index(self.properties[grade])
            for name, grade in _SERVICE_GRADE.items()
            if getattr(service, name)
        ]
        place = len(FILLERS) if self.place is None else self.place
        return (_BEST_FIRST.index(self.verdict), *asked, place, int(self.twin))

    def reasons(self) -> Iterator[str]:
        """Yield why it stands where it stands, the weightiest first."""
        pair = self.joint.pair
        said = [each.says for each in self.findings if each.severity != "advise"]
        if self.verdict == "do_not_use":
            plain = pair.why if pair.standing == "not_recommended" else self.metal.against
            yield from said or [plain]
            return
        if self.place == 0 and not self.twin:
            yield pair.why
        yield self.metal.use
        yield from self._standing()
        yield from (each.says for each in self.findings)
        if self.joint.service.heat_treated_after and self.properties["heat_treatment"] == "fair":
            yield (
                "It answers to heat treatment only through magnesium from the base: fine up to "
                "about 10 mm, weak in thick joints."
            )
        yield from self._clear_share()

    def _standing(self) -> Iterator[str]:
        like = self.joint.pair.like
        if self.place is None:
            yield "No chart names it for this metal, and no rule speaks against it."
        elif self.twin:
            yield f"It is chosen as {self.metal.charted_as} is."
        elif like:
            yield f"No chart names this pair; it is welded as {' to '.join(like)} is."

    def _clear_share(self) -> Iterator[str]:
        side_a, side_b = self.joint.sides
        share = largest_clear_share(side_a.nominal, side_b.nominal, self.metal.nominal)
        if share == 1.0:
            yield "The weld stays clear of the crack range whatever the share of base metal."
        elif share:
            clear = f"{100 * share:.0f}\u00a0%"
            yield f"The weld stays clear of the crack range up to {clear} base metal."

    @property
    def source(self) -> str:
        pair = self.joint.pair
        by_chart = self.place is not None and not self.twin
        named = by_chart or self.metal.designation in pair.never
        return pair.source if named or pair.standing == "not_recommended" else "rule"

    def offer(self, *, best: bool) -> Offer:
        return Offer(
            designation=self.metal.designation,
            verdict="first_choice" if best and self.verdict == "acceptable" else self.verdict,
            properties=self.properties,
            reasons=tuple(dict.fromkeys(self.reasons())),
            source=self.source,
        )


def _judged(joint: _Joint, metal: FillerMetal) -> _Judged:
    return _Judged(
        joint=joint,
        metal=metal,
        findings=joint.findings(metal),
        properties=grades(joint.sides, metal),
    )


def _weldable(joint: _Joint) -> Weldable:
    standings = (joint.pair.standing, *(side.weldability for side in joint.sides))
    worst = max(standings, key=_WORST_LAST.index)
    return "readily" if worst == "weldable" else worst


def _why(joint: _Joint) -> str:
    sides, pair = dict.fromkeys(joint.sides), joint.pair
    said = [f"{side.designation}: {side.why}" for side in sides]
    if pair.standing != "weldable" and pair.why not in (side.why for side in sides):
        said.append(pair.why)
    for side in sides:
        name, magnesium = side.designation, side.nominal.mg
        if joint.service.above_65_c and magnesium > alloys.WARM_SERVICE_MG:
            said.append(alloys.WARM_SERVICE.found(alloy=name, magnesium=magnesium).says)
    return " ".join(said)


def _unknown(typed: tuple[str, ...]) -> FillerChoice:
    found = {each: alloys.find(each) for each in typed}
    missing = " and ".join(each for each, alloy in found.items() if alloy is None)
    return FillerChoice(
        base_metals=tuple(alloy.designation if alloy else each for each, alloy in found.items()),
        weldable="unknown",
        why=(
            f"{missing or 'The metal'}: not in the tables, so no filler is named. Read the stamp, "
            "the label or the certificate, or ask who supplied the metal; looks do not tell one "
            "alloy from another."
        ),
    )


def choose(
    alloy_a: str,
    alloy_b: str | None = None,
    *,
    above_65_c: bool = False,
    anodised_after: bool = False,
    heat_treated_after: bool = False,
    weld: Weld = "fillet",
    process: Process = "GTAW",
) -> FillerChoice:
    """Return every filler for one alloy, or for two, with a verdict and the reasons for it.

    Parameters
    ----------
    alloy_a, alloy_b : str
        Designations as people type them; the second one only where the sides differ.
    above_65_c, anodised_after, heat_treated_after : bool
        What the part is for.
    weld, process : str
        The joint whose usual share of base metal is judged; a fillet by GTAW unless told.

    >>> choose("6061").fillers[0].designation
    '4043'
    >>> choose("6061", anodised_after=True).fillers[0].designation
    '5356'
    """
    typed = (alloy_a,) if alloy_b is None else (alloy_a, alloy_b)
    found = [alloy for each in typed if (alloy := alloys.find(each))]
    if len(found) < len(typed):
        return _unknown(typed)
    side_a, side_b = sorted((found[0], found[-1]), key=lambda alloy: alloy.designation)
    joint = _Joint(
        sides=(side_a, side_b),
        pair=pair_of(side_a, side_b),
        process=process,
        weld=weld,
        service=Service(
            above_65_c=above_65_c,
            anodised_after=anodised_after,
            heat_treated_after=heat_treated_after,
        ),
    )
    judged = sorted(
        (_judged(joint, metal) for metal in FILLERS.values()), key=lambda each: each.rank
    )
    return FillerChoice(
        base_metals=tuple(alloy.designation for alloy in found),
        weldable=_weldable(joint),
        why=_why(joint),
        sources_disagree=joint.pair.sources_disagree,
        fillers=tuple(each.offer(best=not place) for place, each in enumerate(judged)),
    )
