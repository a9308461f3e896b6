"""How the two instructors of the invented term grade: scores by what the review found, comments.

The level follows from the scores by the same rule as on the grading page.
"""

import random
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from coursework.demo.coupons import Hand, Task
from coursework.demo.logbook import Log
from coursework.models import Criterion, Grade, RubricVersion, User
from coursework.plans import fixture
from coursework.scoring import Outcome, Scores, applying, preview

PHRASES: Final = fixture("phrases.json")
NOT_SOUND: Final = {"100", "104", "401", "510"}
NOT_FUSED: Final = NOT_SOUND - {"510"}
LEVEL_OF: Final = {"stop": 1, "warn": 2, "advise": 3}
PROMPTED: Final = "safety-solvent-not-dried"
SECOND_LOOK: Final = "Second look, so that we both grade alike."

type Said = list[dict[str, Any]]


@dataclass(slots=True)
class Mark:
    """One grade to be stored; ``at`` moves on when the instructors sit down to grade."""

    version: RubricVersion
    criteria: list[Criterion]
    grader: User
    scores: Scores
    outcome: Outcome
    decision: str
    comment: str
    at: datetime
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Seen:
    """What a grader has before the eyes."""

    task: Task
    log: Log
    said: Said
    hand: Hand
    predicted_level: int | None
    numbers: set[str]
    at: datetime

    def worst(self, *families: str) -> int:
        """Return the level that the loudest finding of some rule families leaves: 4 for none."""
        levels = [
            LEVEL_OF[each["severity"]] for each in self.said if each["rule"].startswith(families)
        ]
        return min(levels, default=4)


def mark(
    version: RubricVersion, grader: User, seen: Seen, chance: random.Random, *, strict: bool
) -> Mark:
    """Return a grade by one instructor.

    Parameters
    ----------
    strict : bool
        Whether this one is the stricter of the two.
    """
    criteria = applying(version.criteria.all(), seen.task.exercise)
    fair = _scores(seen, chance)
    scores = {each.key: _by_taste(fair[each.key], each.gate, strict, chance) for each in criteria}
    outcome = preview(scores, criteria)
    assert outcome, "the rubric of the fixtures has weights"  # noqa: S101
    good = outcome.passes and min(scores.values()) > 1
    decision = Grade.Decision.ACCEPTED if good else Grade.Decision.RETURNED
    comment = _comment(seen, good=good, chance=chance)
    return Mark(version, criteria, grader, scores, outcome, decision, comment, seen.at)


def _by_taste(level: int, gate: bool, strict: bool, chance: random.Random) -> int:
    """Let instructors differ by a level now and then, but never about safety."""
    draw = chance.random()
    if gate or level == 1:
        return level
    if draw < (0.14 if strict else 0.05):
        return level - 1
    return min(4, level + 1) if draw > 0.96 else level


def _scores(seen: Seen, chance: random.Random) -> dict[str, int]:
    skill, care = seen.hand.skill, seen.hand.care
    preparation, set_up = seen.worst("cleaning-"), seen.worst("setup-", "filler-", "alloy-")
    return {
        "safety": _safety(seen, chance),
        "sound": 1 if seen.numbers & NOT_FUSED else 3,
        "preparation": preparation if chance.random() < care else min(preparation, 3),
        "set-up": set_up if chance.random() < skill else min(set_up, 3),
        "technique": _level(1.3 + 2.3 * skill, chance),
        "size-and-shape": _size(seen, chance),
        "soundness": _soundness(seen),
        "destructive": _destructive(seen, chance),
        "self-check": _self_check(seen, chance),
    }


def _level(aim: float, chance: random.Random) -> int:
    return max(1, min(4, round(aim + chance.gauss(0, 0.4))))


def _safety(seen: Seen, chance: random.Random) -> int:
    rules = [each["rule"] for each in seen.said if each["rule"].startswith("safety-")]
    if rules and rules != [PROMPTED]:
        return min(seen.worst("safety-"), 2)
    return 2 if rules else 4 if chance.random() < 0.2 * seen.hand.care else 3


def _size(seen: Seen, chance: random.Random) -> int:
    fillet = seen.log.document.get("fillet")
    if not fillet:
        return _level(1.5 + 2.2 * seen.hand.skill, chance)
    legs = sorted((fillet["leg_1_mm"], fillet["leg_2_mm"]))
    small, uneven = legs[0] / fillet["nominal_leg_mm"], legs[1] / legs[0]
    if small < 0.75:
        return 1
    if small < 0.95 or uneven > 1.3:
        return 2
    return 4 if uneven < 1.1 else 3


def _soundness(seen: Seen) -> int:
    if seen.numbers & NOT_SOUND:
        return 1
    return max(2, 4 - len(seen.numbers))


def _destructive(seen: Seen, chance: random.Random) -> int:
    level = _level(1.6 + 2.1 * seen.hand.skill, chance)
    return max(1, level - 1) if seen.numbers & {"2017", "303", "401", "100"} else level


def _self_check(seen: Seen, chance: random.Random) -> int:
    if seen.predicted_level is None:
        return 2
    return _level(2.4 + 1.4 * seen.hand.care, chance)


def _comment(seen: Seen, *, good: bool, chance: random.Random) -> str:
    """Return a comment on the weightiest thing that there are words for; silence now and then."""
    rules = [each["rule"] for each in seen.said if each["severity"] != "advise"]
    known = [PHRASES[name] for name in (*rules, *sorted(seen.numbers)) if name in PHRASES]
    if known and (not good or chance.random() < 0.7):
        return str(known[0])
    if good and chance.random() < 0.3:
        return ""
    return str(chance.choice(PHRASES["good" if good else "plain"]))
