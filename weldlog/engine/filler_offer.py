"""One filler in one joint that somebody asks about: its verdict, its place and its reasons."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final, Literal

from weldlog.engine import alloys, fillers
from weldlog.engine.alloys import Alloy
from weldlog.engine.dilution import largest_clear_share
from weldlog.engine.facts import BaseMetal, Facts, Filler, Joint, Process, Service, Weld
from weldlog.engine.figures import Figures
from weldlog.engine.filler_advice import suited
from weldlog.engine.filler_grades import grades
from weldlog.engine.filler_joint import joint_of
from weldlog.engine.filler_metals import FILLERS, FillerMetal, Grade
from weldlog.engine.filler_pairs import Pair, pair_of
from weldlog.engine.findings import SEVERITIES, Case, Finding
from weldlog.engine.groove_strength import groove_strengths
from weldlog.engine.school import DEFAULT
from weldlog.engine.weld_metal import weld_metal

Verdict = Literal["first_choice", "acceptable", "with_care", "do_not_use"]

_BEST_FIRST: Final = ("first_choice", "acceptable", "with_care", "do_not_use")
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

    def as_json(self) -> dict[str, Any]:
        """Return the offer in the shape of ``tests/contract/filler.schema.json``."""
        return {
            "designation": self.designation,
            "verdict": self.verdict,
            "properties": dict(self.properties),
            "reasons": list(self.reasons),
            "source": self.source,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked: two alloys, the joint between them and what the part is for."""

    sides: tuple[Alloy, Alloy]
    process: Process
    joint: Joint | None
    weld: Weld | None
    service: Service

    @property
    def pair(self) -> Pair:
        """What the charts say of the two alloys."""
        return pair_of(*self.sides)

    @property
    def clear(self) -> tuple[str, ...]:
        """The fillers of the charts that no rule speaks against in this joint."""
        return suited(joint_of(self.coupon(), None))

    def coupon(self, metal: FillerMetal | None = None) -> Facts:
        """Return the imagined coupon that is welded so, with a filler or with none logged."""
        return Facts(
            process=self.process,
            joint=self.joint,
            weld=self.weld,
            base_metals=tuple(BaseMetal(alloy=side.designation) for side in self.sides),
            filler=Filler(designation=metal.designation) if metal else None,
            service=self.service,
        )

    def findings(self, metal: FillerMetal) -> list[Finding]:
        """Return what a review would say of this filler in this joint, the gravest first."""
        facts = self.coupon(metal)
        case = Case(facts, Figures(weld_metal=weld_metal(facts)), DEFAULT)
        spoken = (*alloys.check(case), *fillers.check(case))
        found = [each for each in spoken if isinstance(each, Finding)]
        return sorted(found, key=lambda each: SEVERITIES.index(each.severity))


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One filler with all that speaks for and against it."""

    asked: Asked
    metal: FillerMetal
    findings: list[Finding]
    properties: dict[str, Grade]

    @property
    def place(self) -> int | None:
        """Its place in the charts, or that of the filler it is charted as."""
        return self.asked.pair.place(FILLERS[self.metal.charted_as])

    @property
    def twin(self) -> bool:
        """Whether it stands in the charts under another name."""
        return self.metal.charted_as != self.metal.designation

    @property
    def refused(self) -> bool:
        """Whether a chart or a stop rules it out."""
        pair = self.asked.pair
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
        if self.place is None or self.ill_suited or (self.doubted and not self.best_of_a_poor_lot):
            return "with_care"
        return "acceptable"

    @property
    def best_of_a_poor_lot(self) -> bool:
        """Whether the charts put it first and no filler of theirs is free of doubt here."""
        return self.place == 0 and not self.twin and not self.asked.clear

    @property
    def rank(self) -> tuple[int, ...]:
        """Its place among all: verdict first, then what the part is for, then the charts."""
        service = self.asked.service
        wanted = [
            _GRADES_BEST_FIRST.index(self.properties[grade])
            for name, grade in _SERVICE_GRADE.items()
            if getattr(service, name)
        ]
        place = len(FILLERS) if self.place is None else self.place
        return (_BEST_FIRST.index(self.verdict), *wanted, place, int(self.twin))

    def reasons(self) -> Iterator[str]:
        """Yield why it stands where it stands, the weightiest first."""
        pair = self.asked.pair
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
        yield from self._strength()
        if self.asked.service.heat_treated_after and self.properties["heat_treatment"] == "fair":
            yield (
                "It answers to heat treatment only through magnesium from the base: fine up to "
                "about 10 mm (0.4 in), weak in thick joints."
            )
        yield from self._clear_share()

    def _standing(self) -> Iterator[str]:
        like = self.asked.pair.like
        if self.place is None:
            yield "No chart names it for this metal, and no rule speaks against it."
        elif self.twin:
            yield f"It is chosen as {self.metal.charted_as} is."
        elif like:
            yield f"No chart names this pair; it is welded as {' to '.join(like)} is."

    def _strength(self) -> Iterator[str]:
        side_a, side_b = self.asked.sides
        if side_a is side_b:
            known = groove_strengths(side_a.designation, self.metal.designation)
            yield from (each.says for each in known)

    def _clear_share(self) -> Iterator[str]:
        side_a, side_b = self.asked.sides
        share = largest_clear_share(side_a.nominal, side_b.nominal, self.metal.nominal)
        if share == 1.0:
            yield "The weld stays clear of the crack range whatever the share of base metal."
        elif share:
            clear = f"{100 * share:.0f}\u00a0%"
            yield f"The weld stays clear of the crack range up to {clear} base metal."

    @property
    def source(self) -> str:
        """Key of the main source of its verdict."""
        pair = self.asked.pair
        by_chart = self.place is not None and not self.twin
        named = by_chart or self.metal.designation in pair.never
        return pair.source if named or pair.standing == "not_recommended" else "rule"

    def offer(self, *, best: bool) -> Offer:
        """Return it as it is shown; only the best one can be the first choice."""
        return Offer(
            designation=self.metal.designation,
            verdict="first_choice" if best and self.verdict == "acceptable" else self.verdict,
            properties=self.properties,
            reasons=tuple(dict.fromkeys(self.reasons())),
            source=self.source,
        )


def judged(asked: Asked, metal: FillerMetal) -> Judged:
    """Return a filler with all that speaks for and against it in this joint."""
    return Judged(
        asked=asked,
        metal=metal,
        findings=asked.findings(metal),
        properties=grades(asked.sides, metal),
    )
