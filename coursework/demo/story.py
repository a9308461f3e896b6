"""A student's term, coupon by coupon: skill grows, habits fade, and the next exercise waits.

Chance is drawn from a fixed seed and the student's name, so the same day gives the same term.
All numbers here are made up.
"""

import copy
import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any, Final

from coursework.assess import review_document
from coursework.demo.coupons import Hand, Task, log_coupon, look, looks, numbers_seen
from coursework.demo.grades import NOT_FUSED, SECOND_LOOK, Mark, Seen, mark
from coursework.demo.logbook import Log
from coursework.demo.mistakes import ACCIDENTS, SLIPS, Mistake, habits_of_the_day
from coursework.demo.people import Learner, ShopSection
from coursework.demo.pictures import Picture, picture_for
from coursework.models import Grade, RubricVersion, SchoolSettings, User

SEED: Final = "Tern Harbor"
FEWEST, MOST = 30, 48
STUCK_AT: Final = {"cato": 6, "gideon": 8}
"""By user name, the exercise that does not want to come: its root stays cold."""
UNTIL_SECOND: Final = timedelta(weeks=2)
HARDER: Final = {8: 0.10, 9: 0.14, 10: 0.20, 11: 0.10}
"""By place, what an exercise takes off a student's skill."""


def chance_of(name: str) -> random.Random:
    """Return the chance that is drawn for one name: the same on every day and machine."""
    return random.Random(f"{SEED} {name}")  # noqa: S311 - nothing here is a secret


@dataclass(slots=True)
class Draft:
    """One coupon of the story, before it has rows.

    ``logs`` holds what was handed in and, where it was corrected, what was stated then;
    ``reviews`` what the engine says of each; ``second`` is a second, blind grading.
    """

    learner: Learner
    task: Task
    number: int
    handed_in_at: datetime
    logs: list[Log]
    reviews: list[Any]
    predicted_level: int | None
    picture: Picture | None
    withdrawn: bool
    marks: list[Mark] = field(default_factory=list)
    second: Mark | None = None

    @property
    def accepted(self) -> bool:
        """Whether the newest grade accepts it."""
        return bool(self.marks) and self.marks[-1].decision == Grade.Decision.ACCEPTED

    def stated_at(self, place: int) -> datetime:
        """Return when its facts were stated: handed in (0), then corrected."""
        return self.handed_in_at + timedelta(minutes=9 * place)


@dataclass(frozen=True, slots=True)
class Course:
    """What all students share: the exercises, their rubric and the school's settings."""

    tasks: list[Task]
    rubric: RubricVersion
    settings: SchoolSettings


type Mishaps = dict[str, list[tuple[int, Mistake]]]
"""By student: accidents and slips, and the coupon number from which each waits for its chance."""


def deal_mishaps(learners: list[Learner]) -> Mishaps:
    """Deal the accidents and slips of the term out to the students."""
    chance = chance_of("mishaps")
    dealt: Mishaps = {each.username: [] for each in learners}
    for mishap in (*ACCIDENTS, *SLIPS):
        for learner in chance.sample(learners, mishap.times):
            dealt[learner.username].append((chance.randint(2, 20), mishap))
    return dealt


class StudentTerm:
    """The term of one student: who this is, and how far the exercises have come."""

    def __init__(
        self,
        learner: Learner,
        shop: ShopSection,
        course: Course,
        mishaps: list[tuple[int, Mistake]],
    ) -> None:
        self.learner, self.shop, self.course = learner, shop, course
        self.mishaps = list(mishaps)
        self.chance = chance_of(learner.username)
        self.drawing = chance_of(f"second gradings of {learner.username}")
        draw = self.chance.uniform
        self.talent, self.care, self.pace = draw(0.3, 0.58), draw(0.25, 0.65), draw(9, 16)
        self.hope, self.comma = draw(0.3, 1.3), draw(0, 1) < 0.1
        self.coupons = self.chance.randint(FEWEST, MOST)
        if learner.story == "ahead":
            self.talent, self.care, self.pace, self.coupons = 0.75, 0.85, 7.0, MOST + 3
        self.place, self.good, self.tried, self.number = 0, 0, 0, 0

    def drafts(self) -> Iterator[Draft]:
        """Tell the term, oldest coupon first."""
        for moment in self.shop.hours.moments(self.coupons, self.chance):
            self.number += 1
            draft = self._draft(moment)
            self._move_on(draft)
            yield draft

    @property
    def _task(self) -> Task:
        """The exercise in hand; whoever is through practises the harder ones again."""
        tasks = self.course.tasks
        return tasks[self.place] if self.place < len(tasks) else self.chance.choice(tasks[5:])

    def _hand(self, task: Task) -> Hand:
        """Return how this student works by now; each new exercise is a step back at first."""
        learned = 1 - math.exp(-self.number / self.pace)
        skill = self.talent + (0.97 - self.talent) * learned
        skill += self.chance.gauss(-0.2 * math.exp(-self.tried / 1.5), 0.04)
        skill -= HARDER.get(task.exercise.place, 0)
        care = self.care + (0.98 - self.care) * (1 - math.exp(-self.number / 10))
        return Hand(max(0.1, min(0.97, skill)), care, self.comma)

    def _draft(self, moment: datetime) -> Draft:
        task = self._task
        hand = self._hand(task)
        logs = self._logs(task, hand, moment)
        reviews = [review_document(each.document, self.course.settings) for each in logs]
        numbers = numbers_seen(logs[-1].document)
        draft = Draft(
            learner=self.learner,
            task=task,
            number=self.number,
            handed_in_at=moment,
            logs=logs,
            reviews=reviews,
            predicted_level=self._prediction(hand, numbers),
            picture=self._picture(task, numbers),
            withdrawn=self.chance.random() < 0.02,
        )
        if not draft.withdrawn:
            said = reviews[-1].as_json()["findings"]
            seen = Seen(task, logs[-1], said, hand, draft.predicted_level, numbers, moment)
            draft.marks = list(self._marks(seen))
            draft.second = self._second(draft.marks[0].grader, seen)
        return draft

    def _logs(self, task: Task, hand: Hand, moment: datetime) -> list[Log]:
        """Return what is handed in and, where a slip was noticed, the correction."""
        arc_at = moment - timedelta(minutes=self.chance.randint(5, 12))
        log = log_coupon(task, hand, arc_at, self.chance)
        brought = habits_of_the_day(log, hand.care, self.chance)
        mishap = self._mishap(log)
        if mishap in ACCIDENTS:
            mishap.change(log, self.chance)
            brought |= mishap.brings
        if STUCK_AT.get(self.learner.username) == task.exercise.place:
            brought["401"] = 1.0
        look(log, looks(log, task, hand) | brought, self.chance)
        if mishap not in SLIPS:
            return [log]
        slipped = copy.deepcopy(log)
        mishap.change(slipped, self.chance)
        return [slipped, log] if self.chance.random() < 0.5 else [slipped]

    def _picture(self, task: Task, numbers: set[str]) -> Picture | None:
        """Return the photo of two coupons in three."""
        exercise = task.exercise
        joint = exercise.joint if exercise.filler else "puddle"
        return picture_for(joint, numbers) if self.chance.random() < 0.66 else None

    def _mishap(self, log: Log) -> Mistake | None:
        """Return the accident or slip that meets this coupon, once."""
        for waiting in self.mishaps:
            if waiting[0] <= self.number and waiting[1].suits(log):
                self.mishaps.remove(waiting)
                return waiting[1]
        return None

    def _prediction(self, hand: Hand, numbers: set[str]) -> int | None:
        """Return the student's own level: hopeful at first, closer to the mark in the end."""
        early = math.exp(-self.number / 12)
        if self.chance.random() < 0.15 * early:
            return None
        # That a crack ends a coupon at 1 is soon learned.
        if numbers & NOT_FUSED and self.chance.random() > early:
            return 1
        hope = self.hope * math.exp(-self.number / 14)
        aim = 1.5 + 2.1 * hand.skill + hope + self.chance.gauss(0, 0.3 + 0.4 * hand.slack)
        return max(1, min(4, round(aim)))

    def _marks(self, seen: Seen) -> Iterator[Mark]:
        """Yield the grade, and now and then a second look by the other instructor."""
        first, second = self.shop.graders
        if self.chance.random() > 0.65:
            first, second = second, first
        yield self._mark(first, seen, self.chance)
        if self.chance.random() < 0.03:
            again = self._mark(second, seen, self.chance)
            again.reason = SECOND_LOOK
            yield again

    def _second(self, first: User, seen: Seen) -> Mark | None:
        """Return what the other instructor sees blind, where the coupon is drawn for that."""
        if self.drawing.random() * 100 >= self.course.settings.second_grading_percent:
            return None
        (other,) = (each for each in self.shop.graders if each != first)
        # A cold root is easy to miss.
        if self.drawing.random() < 0.5:
            seen = replace(seen, numbers=seen.numbers - NOT_FUSED)
        return self._mark(other, seen, self.drawing)

    def _mark(self, grader: User, seen: Seen, chance: random.Random) -> Mark:
        strict = grader == max(self.shop.graders, key=lambda each: each.pk)
        return mark(self.course.rubric, grader, seen, chance, strict=strict)

    def _move_on(self, draft: Draft) -> None:
        """Go to the next exercise once enough coupons are good."""
        self.tried += 1
        self.good += draft.accepted
        if self.place < len(self.course.tasks) and (
            self.good >= draft.task.exercise.good_coupons_wanted
        ):
            self.place, self.good, self.tried = self.place + 1, 0, 0


def sit_down_to_grade(drafts: list[Draft], shop: ShopSection) -> None:
    """Give every grade of a section its time, after shop hours; leave the newest coupons waiting.

    Parameters
    ----------
    drafts : list of Draft
        All coupons of the section, oldest first.
    """
    chance = chance_of(f"queue {shop.section.name}")
    for draft in [each for each in drafts if each.marks][-chance.randint(5, 10) :]:
        draft.marks = []
    pause, closed = timedelta(), None
    for draft in drafts:
        for place, each in enumerate(draft.marks):
            if closed != (closed := shop.hours.closed_at(draft.handed_in_at.date())):
                pause = timedelta(minutes=30)
            pause += timedelta(minutes=chance.choice((2, 3, 4)))
            each.at = closed + pause + timedelta(minutes=150 * place)
        if draft.second and draft.marks:
            draft.second.at = draft.marks[0].at + UNTIL_SECOND
