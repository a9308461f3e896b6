"""Schedules for two graders of one coupon, and graders who follow them: by functions, by pages."""

import html
import random
import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from threading import Barrier
from typing import Any, ClassVar

from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from coursework import grading
from coursework.conflicts import StaleCoupon
from coursework.models import Coupon, RubricVersion, User
from tests.conftest import ON_POSTGRESQL
from tests.coursework.test_grade import ROWS, address, chosen

FIRST = ("load", "write", "save")
NEXT = (("write", "save"), ("load", "write", "save"), ("save",), ("take_back",), ("release",))

type Moment = list[tuple[int, str]]
"""The steps of one moment, by grader (0 or 1): one, or one of each at once."""


def schedule(seed: int) -> list[Moment]:
    """Return a schedule: each grader's steps in their order, both interleaved at random."""
    chance = random.Random(seed)  # noqa: S311 -- no secret is made of it
    left = [[*FIRST], [*FIRST]]
    for steps in left:
        for _more in range(chance.randint(0, 2)):
            steps.extend(chance.choice(NEXT))
    moments: list[Moment] = []
    while any(left):
        waiting = [who for who in (0, 1) if left[who]]
        chance.shuffle(waiting)
        now = waiting if chance.random() < 0.4 else waiting[:1]
        moments.append([(who, left[who].pop(0)) for who in now])
    return moments


@dataclass(frozen=True)
class Written:
    """What a grader typed, and the version of the coupon that was on the screen."""

    based_on: int
    level: int
    words: str
    reason: str = ""
    hold: bool = False

    @property
    def decision(self) -> str:
        return "accepted" if self.level >= 3 else "returned"


@dataclass
class Grader:
    """One grader of a coupon: what is on the screen, and how each step was answered.

    This one works by the functions that the pages call.
    """

    user: User
    coupon: Coupon
    chance: random.Random
    version: RubricVersion
    shows: Any = None
    written: Written | None = None
    saved: dict[str, Written] = field(default_factory=dict)
    told: int = 0
    taken_back: int = 0
    released: int = 0

    def load(self) -> None:
        self.shows = self._now()

    def _now(self) -> Coupon:
        return Coupon.objects.select_related("exercise", "section__term").get(pk=self.coupon.pk)

    def asks(self) -> tuple[int, bool, bool]:
        """Return the version on the screen, and whether a reason and a hold are asked for."""
        return self.shows.version, self.shows.has_grade, not self.shows.is_graded

    def write(self) -> None:
        """Fill in what the screen asks for, in words that nobody wrote before."""
        based_on, reason, hold = self.asks()
        self.written = Written(
            based_on=based_on,
            level=self.chance.randint(2, 4),
            words=f"Seen by {self.user}, {self.chance.getrandbits(64)}.",
            reason="Looked again." if reason else "",
            hold=hold and self.chance.random() < 0.5,
        )

    def save(self) -> None:
        """Save what was written; who is told of another goes on from what the screen then says."""
        assert self.written
        if self.send(self.written):
            self.saved[self.written.words] = self.written
            return
        lost = self.written.words
        self.write()
        self.written = replace(self.written, words=f"{lost} Again.")

    def send(self, written: Written) -> bool:
        """Return whether a grade was answered as saved."""
        version = self.version
        scores = dict.fromkeys(ROWS, written.level) | {"safety": 3, "sound": 3}
        same: dict[str, Any] = {"grader": self.user, "decision": written.decision}
        same |= {"comment": written.words}
        try:
            grading.grade_coupon(
                self._now(),
                based_on=written.based_on,
                rubric_version=version,
                scores=scores,
                reason=written.reason,
                hold=written.hold,
                at=timezone.now(),
                **same,
            )
        except StaleCoupon:
            self.load()
            if grading.is_stored(self.shows, based_on=written.based_on, scores=scores, **same):
                return True
            self.told += 1
            return False
        return True

    def take_back(self) -> None:
        try:
            grading.take_back(self._now(), by=self.user, at=timezone.now())
            self.taken_back += 1
        except (grading.TooLate, StaleCoupon):
            pass
        self.load()

    def release(self) -> None:
        own = Coupon.objects.filter(pk=self.coupon.pk)
        self.released += grading.release(own, by=self.user, at=timezone.now())


@dataclass
class GraderAtPages(Grader):
    """A grader who works by the pages, and sees that nothing typed is lost on them."""

    browsers: ClassVar[dict[int, Client]] = {}

    @property
    def browser(self) -> Client:
        return self.browsers[self.user.pk]

    def load(self) -> None:
        self.shows = self.browser.get(address(self.coupon))

    def asks(self) -> tuple[int, bool, bool]:
        text = self.shows.text
        (based_on,) = re.findall(r'name="based_on" value="(\d+)"', text)
        return int(based_on), 'name="reason"' in text, 'name="hold"' in text

    def send(self, written: Written) -> bool:
        rows: dict[str, Any] = {f"score_{key}": written.level for key in ROWS}
        rows |= {"score_safety": 3, "score_sound": 3, "based_on": written.based_on}
        said = {"comment": written.words, "decision": written.decision, "repeat": "The start."}
        said |= {"reason": written.reason} | ({"hold": "on"} if written.hold else {})
        answer = self.browser.post(address(self.coupon), rows | said)
        if answer.status_code == 302:
            return True
        self.shows = answer
        self.told += self._is_told(answer, written)
        return False

    def _is_told(self, answer: Any, written: Written) -> bool:
        """Return whether this is the answer to a race; see that it says so and loses nothing."""
        text = " ".join(html.unescape(answer.text).split())
        assert written.words in text
        assert chosen(answer, "score_technique") == str(written.level)
        if answer.status_code != 409:
            return False
        who = "|".join(str(each) for each in User.objects.filter(pk__in=self.browsers))
        first = rf"({who}) (graded this coupon first: level|took a grade of this coupon back)"
        released = rf"The grade that ({who}) gave this coupon was released: level"
        assert re.search(f"{first}|{released}", text)
        return True

    def take_back(self) -> None:
        back = reverse("coursework:take_back", args=[self.coupon.public_id])
        self.shows = self.browser.post(back, follow=True)
        self.taken_back += "Taken back. The grade stays on file" in self.shows.text

    def release(self) -> None:
        page = reverse("coursework:held", args=[self.coupon.section_id])
        said = self.browser.post(page, {"coupon": [self.coupon.pk]}, follow=True).text
        self.released += "1 grade released." in said


class Shop:
    """Two graders who run schedules; on PostgreSQL each has a thread, with its own connection."""

    def __init__(self, kind: type[Grader], users: list[User]) -> None:
        self.kind, self.users = kind, users
        self.threads = [ThreadPoolExecutor(1) for _each in users if ON_POSTGRESQL]

    def run(self, seed: int, coupon: Coupon) -> list[Grader]:
        """Let both grade a coupon by a schedule."""
        version = coupon.exercise.rubric.current()
        chances = [random.Random(f"{seed} {each}") for each in (0, 1)]  # noqa: S311 -- as above
        graders = [
            self.kind(user, coupon, chance, version)
            for user, chance in zip(self.users, chances, strict=True)
        ]
        for moment in schedule(seed):
            steps = {who: getattr(graders[who], step) for who, step in moment}
            if self.threads and len(steps) == 2:
                self._at_once(steps)
            else:
                for step in steps.values():
                    step()
        coupon.refresh_from_db()
        return graders

    def _at_once(self, steps: dict[int, Callable[[], None]]) -> None:
        together = Barrier(len(steps), timeout=20)

        def taken(step: Callable[[], None]) -> None:
            together.wait()
            step()

        begun = [self.threads[who].submit(taken, step) for who, step in steps.items()]
        for each in begun:
            each.result(30)

    def close(self) -> None:
        """Close the connections of the threads."""
        for thread in self.threads:
            thread.submit(_close).result(30)
            thread.shutdown()


def _close() -> None:
    # Looked up in the thread: each has a connection of its own under this name.
    connection.close()
