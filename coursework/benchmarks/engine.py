"""What a review costs: as a multiple of reading and writing the same JSON, and by the thousand."""

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from django.conf import settings

from coursework.benchmarks.coupons import as_lines
from coursework.management.commands.review import COMPACT
from weldlog.engine import facts
from weldlog.engine.review import review

EXAMPLES: Final = Path("tests") / "contract" / "examples"
GOAL_RATIO: Final = 25
GOAL_A_SECOND: Final = 3000
ROUNDS: Final = 7
A_ROUND: Final = 200
SHORT_SHARE: Final = 10


@dataclass(frozen=True, slots=True)
class Ratio:
    """The cost of one record [microseconds of CPU]: reviewed, and only read and written."""

    name: str
    review_us: float
    floor_us: float

    @property
    def times(self) -> float:
        """The review as a multiple of the floor."""
        return self.review_us / self.floor_us


@dataclass(frozen=True, slots=True)
class Stream:
    """A run of ``manage.py review -`` over many coupons: CPU [s] and peak memory [MB]."""

    coupons: int
    cpu_s: float
    peak_mb: float


def _reviewed(text: str) -> str:
    return COMPACT.encode(review(facts.read(json.loads(text))).as_json())


def _read_and_written(text: str) -> str:
    return json.dumps(json.loads(text))


def _cpu_us(work: Callable[[str], str], text: str) -> float:
    """Return the CPU time of one call [microseconds]."""
    begun = time.process_time()
    for _ in range(A_ROUND):
        work(text)
    return (time.process_time() - begun) / A_ROUND * 1e6


def ratios() -> Iterator[Ratio]:
    """Measure each example of the contract; floor and review take turns, the best round counts."""
    for path in sorted((settings.BASE_DIR / EXAMPLES).glob("*.json")):
        text = json.dumps(json.loads(path.read_text(encoding="utf-8")))
        rounds = [
            (_cpu_us(_reviewed, text), _cpu_us(_read_and_written, text)) for _ in range(ROUNDS)
        ]
        yield Ratio(path.stem, min(a for a, _ in rounds), min(b for _, b in rounds))


def stream(number: int) -> Stream:
    """Pipe so many generated coupons through ``manage.py review -``, one a line.

    Raises
    ------
    RuntimeError
        When the command does not end well, with what it said.
    """
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "review", "-"]
    with tempfile.TemporaryFile() as coupons, tempfile.TemporaryFile() as said:
        coupons.writelines(line.encode() for line in as_lines(number))
        coupons.seek(0)
        running = subprocess.Popen(command, stdin=coupons, stdout=subprocess.DEVNULL, stderr=said)
        _, status, usage = os.wait4(running.pid, 0)
        running.returncode = os.waitstatus_to_exitcode(status)
        if running.returncode:
            said.seek(0)
            raise RuntimeError(said.read().decode(errors="replace").strip())
    return Stream(number, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def report(number: int) -> Iterator[str]:
    """Yield the lines of the report."""
    yield "Review of the contract's examples, as a multiple of json.loads + json.dumps of the same"
    yield f"record (CPU, best of {ROUNDS} rounds of {A_ROUND} in turn; goal {GOAL_RATIO} or less):"
    for each in ratios():
        yield (
            f"  {each.name:<16} {each.review_us:7.0f} us / {each.floor_us:5.0f} us"
            f" = {each.times:5.1f} times"
        )
    yield f"manage.py review - with one coupon a line (goal {GOAL_A_SECOND} a second and core):"
    start = stream(1)
    yield f"  {'start, 1 coupon':<16} {start.cpu_s:7.2f} s CPU, {start.peak_mb:.0f} MB at most"
    for run in (stream(max(1, number // SHORT_SHARE)), stream(number)):
        rate, alone = run.coupons / run.cpu_s, run.coupons / (run.cpu_s - start.cpu_s)
        yield (
            f"  {run.coupons:<16} {run.cpu_s:7.2f} s CPU, {run.peak_mb:.0f} MB at most;"
            f" {rate:.0f} a second, {alone:.0f} without the start"
        )
