"""The review of one coupon: its figures, then every rule family in a fixed order."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from weldlog.engine import (
    alloys,
    bead,
    cleaning,
    entry,
    fillers,
    heat,
    imperfections,
    safety,
    setup,
)
from weldlog.engine.acceptance import Verdict, acceptance, lacking
from weldlog.engine.causes import Cause, causes
from weldlog.engine.facts import Facts
from weldlog.engine.figures import Figures
from weldlog.engine.findings import SEVERITIES, Case, Finding, NotAssessed, Rule, Value
from weldlog.engine.possible import Number, impossible, without
from weldlog.engine.safety import Caution
from weldlog.engine.school import DEFAULT, SchoolRules
from weldlog.engine.weld_metal import weld_metal

EDITION: Final = "2026.2"
FAMILIES: Final = (safety, alloys, fillers, cleaning, setup, heat, bead, imperfections, entry)
RULES: Final[dict[str, Rule]] = {rule.id: rule for family in FAMILIES for rule in family.RULES}
_LOUDEST_FIRST: Final = {severity: place for place, severity in enumerate(SEVERITIES)}
_NO_ADVICE: Final = ("entry-", "bead-", "inspection-", "cleaning-times-disagree")


@dataclass(frozen=True, slots=True, kw_only=True)
class NextTry:
    """The one thing to change on the next coupon."""

    rule: str
    says: str
    values: Mapping[str, Value]

    def as_json(self) -> dict[str, Any]:
        """Return it in the shape of ``tests/contract/review.schema.json``."""
        return {"rule": self.rule, "says": self.says, "values": dict(self.values)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """What the engine says about one coupon.

    ``findings`` stand in the order stop, warn, advise, and within that in the order of the
    families: safety first, questions about what was typed last.
    """

    id: str | None
    figures: Figures
    findings: tuple[Finding, ...]
    causes: tuple[Cause, ...]
    acceptance: tuple[Verdict, ...]
    cautions: tuple[Caution, ...]
    not_assessed: tuple[NotAssessed, ...]
    next_try: NextTry | None
    rules_hash: str
    edition: str = EDITION

    def as_json(self) -> dict[str, Any]:
        """Return the review in the shape of ``tests/contract/review.schema.json``."""
        echoed = {} if self.id is None else {"id": self.id}
        return echoed | {
            "edition": self.edition,
            "figures": self.figures.as_json(),
            "findings": [finding.as_json() for finding in self.findings],
            "causes": [cause.as_json() for cause in self.causes],
            "acceptance": [verdict.as_json() for verdict in self.acceptance],
            "cautions": [caution.as_json() for caution in self.cautions],
            "not_assessed": [each.as_json() for each in self.not_assessed],
            "next_try": self.next_try.as_json() if self.next_try else None,
            "rules_hash": self.rules_hash,
        }


def review(facts: Facts, school: SchoolRules = DEFAULT) -> Review:
    """Review one coupon.

    What cannot be (a speed of zero) is questioned once, and every rule and figure takes it as
    not logged. The facts themselves stay as they are.

    Parameters
    ----------
    facts : Facts
        What the coupon states.
    school : SchoolRules
        What the school has set.

    Returns
    -------
    Review
        Never an exception, whatever the numbers are.

    >>> from weldlog.engine.facts import read
    >>> found = review(read({"process": "GTAW", "current_a": 135, "voltage_v": 14,
    ...                      "weld_length_mm": 150, "arc_time_s": 30}))
    >>> round(found.figures.arc_energy_kj_mm, 3), round(found.figures.heat_input_kj_mm, 2)
    (0.378, 0.23)
    """
    return reviews([facts], school)[0]


def reviews(coupons: Iterable[Facts], school: SchoolRules = DEFAULT) -> list[Review]:
    """Review several coupons, each by itself.

    They are looked at family by family, not coupon by coupon: a processor that goes through one
    family for all of them is a fifth faster than one that begins anew with each.

    Parameters
    ----------
    coupons : iterable of Facts
    school : SchoolRules

    Returns
    -------
    list of Review
        In the order of the coupons, each as :func:`review` gives it.
    """
    begun = [_begun(each, school) for each in coupons]
    for family in FAMILIES:
        for case, _left_out, said in begun:
            said.extend(family.check(case))
    return [_review(*each) for each in begun]


type _Begun = tuple[Case, tuple[Number, ...], list[Finding | NotAssessed]]


def _begun(facts: Facts, school: SchoolRules) -> _Begun:
    """Return a coupon as the families judge it, what had to be left out, and an empty list."""
    left_out = impossible(facts)
    facts = without(facts, left_out)
    figures = Figures(**heat.figures(facts), **bead.figures(facts), weld_metal=weld_metal(facts))
    return Case(facts, figures, school), left_out, []


def _review(case: Case, left_out: tuple[Number, ...], said: list[Finding | NotAssessed]) -> Review:
    said += entry.not_possible(left_out)
    findings = _ordered(each for each in said if isinstance(each, Finding))
    verdicts = acceptance(case)
    said += lacking(verdicts)
    likeliest = causes(case, findings, verdicts)
    return Review(
        id=case.facts.id,
        figures=case.figures,
        findings=findings,
        causes=likeliest,
        acceptance=verdicts,
        cautions=tuple(safety.cautions(case.facts)),
        not_assessed=tuple(each for each in said if isinstance(each, NotAssessed)),
        next_try=_next_try(findings, likeliest),
        rules_hash=case.school.hash(),
    )


def _ordered(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=lambda each: _LOUDEST_FIRST[each.severity]))


def _next_try(findings: tuple[Finding, ...], likeliest: tuple[Cause, ...]) -> NextTry | None:
    """Return the first stop or warning about the work, else the likeliest cause of what was seen.

    Questions about what was typed are for this coupon, not for the next one; and that a weld
    cracked is no advice, but what made it crack is.
    """
    for finding in findings:
        if finding.severity != "advise" and not finding.rule.id.startswith(_NO_ADVICE):
            return NextTry(rule=finding.rule.id, says=finding.says, values=finding.values)
    if not likeliest:
        return None
    cause = min(likeliest, key=_weight)
    return NextTry(rule=cause.cause, says=cause.coaching, values=cause.values)


def _weight(cause: Cause) -> tuple[bool, bool]:
    """Order causes: one that the log speaks for, then one of a crack, then as they stand."""
    return cause.evidence == "none", not imperfections.is_crack(cause.imperfection)
