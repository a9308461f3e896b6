"""From the scores of a rubric to a level."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from coursework.models import Criterion, Exercise

PASSES = 3
NOT_KEPT = 1
CAP = 1

type Scores = Mapping[str, int]
"""Levels, 1 to 4, by the key of the criterion."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What scores amount to; ``capped_by`` names the gate that was not kept, if one was not."""

    weighted: Decimal
    level: int
    capped_by: str = ""

    @property
    def passes(self) -> bool:
        return self.level >= PASSES


def applying(criteria: Iterable[Criterion], exercise: Exercise) -> list[Criterion]:
    """Return the criteria that a coupon of the exercise is scored by.

    Those of the check test only where the exercise asks for one. A visual check is none here:
    every coupon is looked at, and that has criteria of its own.
    """
    asked = exercise.check_test not in {Exercise.CheckTest.NONE, Exercise.CheckTest.VISUAL}
    return [each for each in criteria if asked or not each.check_test]


def weighted_level(scores: Scores, criteria: Iterable[Criterion]) -> Decimal:
    """Return the mean of the scored levels by weight, to two places, halves up.

    Parameters
    ----------
    scores : mapping of str to int
        Levels by the key of the criterion.
    criteria : iterable of Criterion
        Those that apply. The weights of the scored ones count as if they made up 100.

    Raises
    ------
    ValueError
        When nothing that has a weight is scored.
    """
    scored = [(each.weight, scores[each.key]) for each in criteria if each.key in scores]
    total = sum((weight for weight, _level in scored), Decimal(0))
    if not total:
        raise ValueError("Nothing that has a weight is scored.")
    mean = sum((weight * level for weight, level in scored), Decimal(0)) / total
    return mean.quantize(Decimal("0.01"), ROUND_HALF_UP)


def preview(scores: Scores, criteria: Iterable[Criterion]) -> Outcome | None:
    """Return what the scores so far amount to; None where nothing that has a weight is scored.

    The level is the weighted level rounded to a whole one, halves up. A gate that was not kept
    caps it, whatever the weights say.
    """
    criteria = list(criteria)
    try:
        weighted = weighted_level(scores, criteria)
    except ValueError:
        return None
    level = int(weighted.quantize(Decimal(1), ROUND_HALF_UP))
    broken = [each.title for each in criteria if each.gate and scores.get(each.key) == NOT_KEPT]
    if broken:
        return Outcome(weighted, min(level, CAP), broken[0])
    return Outcome(weighted, level)
