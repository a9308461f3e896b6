"""One filler in one joint that somebody asks about: its verdict, its place and its reasons."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final, Literal

from weldlog.engine import alloys, fillers
from weldlog.engine.alloys import Alloy
from weldlog.engine.facts import BaseMetal, Facts, Filler, Joint, Process, Service, Weld
from weldlog.engine.figures import Figures
from weldlog.engine.filler_advice import suited
from weldlog.engine.filler_fitting import fitting
from weldlog.engine.filler_grades import grades
from weldlog.engine.filler_metals import FILLERS, FillerMetal, Grade
from weldlog.engine.filler_mixture import crack_words
from weldlog.engine.filler_pairs import Pair, pair_of
from weldlog.engine.filler_rules import SILICON_NEAR_MAGNESIUM_LIMIT, SPEAK_OF_SHARE
from weldlog.engine.findings import SEVERITIES, Case, Finding
from weldlog.engine.groove_strength import groove_strengths
from weldlog.engine.school import DEFAULT
from weldlog.engine.weld_joint import WeldJoint, joint_of
from weldlog.engine.weld_metal import weld_metal

Verdict = Literal["first_choice", "acceptable", "with_care", "do_not_use"]

_BEST_FIRST: Final = ("first_choice", "acceptable", "with_care", "do_not_use")
_GRADES_BEST_FIRST: Final = ("good", "not_applicable", "fair", "unknown", "poor", "do_not_use")
_SERVICE_GRADE: Final = {
    "above_65_c": "hot_service",
    "anodised_after": "anodised_match",
    "heat_treated_after": "heat_treatment",
}
_GROOVES: Final = ("square_groove", "v_groove")
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
        return suited(self.welded)

    @property
    def welded(self) -> WeldJoint:
        """The joint as the filler rules look at it."""
        return joint_of(self.coupon(), None)

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
    def hopeless(self) -> bool:
        """Whether its chemistry draws a warning that care does not answer.

        Sources differ on silicon filler from 2.0 to 2.5 % magnesium, whichever of them it is.
        """
        return self.doubted and any(
            each.severity == "warn"
            and each.rule.id not in (*_SERVICE_RULES, SILICON_NEAR_MAGNESIUM_LIMIT.id)
            for each in self.findings
        )

    @property
    def ill_suited(self) -> bool:
        """Whether what the part is for draws a warning."""
        return any(each.rule.id in _SERVICE_RULES for each in self.findings)

    @property
    def verdict(self) -> Verdict:
        """The verdict before the best one is made the first choice."""
        if self.refused or (self.place is None and self.hopeless):
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
            yield from self._fitting(pair.why)
        yield from self._fitting(self.metal.use)
        yield from self._standing()
        yield from self._color()
        yield from (each.says for each in self.findings)
        yield from self._strength()
        if self.asked.service.heat_treated_after and self.properties["heat_treatment"] == "fair":
            yield (
                "It answers to heat treatment only through magnesium from the base: fine up to "
                "about 10 mm (0.4 in), weak in thick joints."
            )
        yield from self._clear_share()

    @property
    def _share_is_spoken_of(self) -> bool:
        return any(each.rule.id in SPEAK_OF_SHARE for each in self.findings)

    def _standing(self) -> Iterator[str]:
        like = self.asked.pair.like
        if self.place is None:
            doubt = self.doubted or self.ill_suited or self._share_is_spoken_of
            more = "." if doubt else "; no rule speaks against it."
            yield f"It is not in our tables for this metal{more}"
        elif self.twin:
            yield f"It is chosen as {self.metal.charted_as} is."
        elif like:
            yield f"Our tables do not hold this pair; it is welded as {' to '.join(like)} is."

    def _fitting(self, text: str) -> Iterator[str]:
        fits = fitting(text, self.asked.sides, self.asked.service)
        if fits:
            yield fits

    def _color(self) -> Iterator[str]:
        """Yield how an Al-Mg weld stands to the bases in color, where that was asked."""
        match = self.properties["anodised_match"]
        if self.asked.service.anodised_after and self.metal.family == "5xxx":
            if match == "good":
                yield "Its weld stays close in color to this metal when the part is anodized."
            else:
                yield "Its weld shows beside this metal when the part is anodized."

    def _strength(self) -> Iterator[str]:
        """Yield what groove welds hold, for a groove."""
        side_a, side_b = self.asked.sides
        if side_a is side_b and self.asked.weld in _GROOVES:
            known = groove_strengths(side_a.designation, self.metal.designation)
            yield from (each.says for each in known)

    def _clear_share(self) -> Iterator[str]:
        """Yield how the weld stands to the crack range, where no finding says so."""
        share = self.asked.welded.share
        if share is None or self._share_is_spoken_of:
            return
        side_a, side_b = self.asked.sides
        words = crack_words(side_a.nominal, side_b.nominal, self.metal.nominal, share)
        if words:
            yield words

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
