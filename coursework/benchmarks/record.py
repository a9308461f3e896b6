"""What the PDFs of a section's records cost: beside WeasyPrint alone, by two workers, in memory.

Everything happens in processes of their own, in a folder that goes with the run: the memory of
each is its own, and two are as independent as two workers are.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from typing import Any, Final

from django.conf import settings

from coursework.benchmarks.record_work import MODULE

GOAL_RATIO: Final = 1.15
GOAL_TWO: Final = 1.5
GOAL_MB: Final = 400
GOAL_ONE_S: Final = 1.5


def report(students: int = 32, coupons: int = 60) -> Iterator[str]:
    """Yield the lines of the report.

    Parameters
    ----------
    students, coupons : int
        How many students the section has, and how many coupons each of them.

    Raises
    ------
    RuntimeError
        When a piece of the work does not end well, with what it said.
    """
    with tempfile.TemporaryDirectory() as folder:
        made = _finished(_begun("make", folder, str(students), str(coupons)))
        yield f"PDF of a section of {made['records']} records, each with its master and photos:"
        both = _finished(_begun("ratio", folder))
        yield (
            f"  beside WeasyPrint alone on the same HTML: {both['ours_s']:.1f} s CPU / "
            f"{both['alone_s']:.1f} s = {both['ours_s'] / both['alone_s']:.2f} times "
            f"(in turn, student by student; goal {GOAL_RATIO} or less)"
        )
        worker = _finished(_begun("section", folder))
        yield (
            f"  one worker: {worker['wall_s']:.1f} s, {worker['cpu_s']:.1f} s CPU, "
            f"{worker['peak_mb']:.0f} MB at most (goal {GOAL_MB}), file {worker['file_kb']:.0f} kB"
        )
        begun = time.perf_counter()
        two = [_finished(each) for each in [_begun("section", folder), _begun("section", folder)]]
        wall = time.perf_counter() - begun
        start = time.perf_counter()
        again = _finished(_begun("section", folder))
        alone = time.perf_counter() - start
        yield (
            f"  two workers at once: {wall:.1f} s for two files, one alone then {alone:.1f} s: "
            f"{2 * alone / wall:.2f} times the files (goal {GOAL_TWO}), "
            f"{max(each['peak_mb'] for each in (*two, again)):.0f} MB each at most"
        )
        one = _finished(_begun("one", folder))
        yield (
            f"  one record in a warm process: {one['wall_s']:.2f} s, {one['cpu_s']:.2f} s CPU "
            f"(goal {GOAL_ONE_S} s)"
        )


def _begun(piece: str, folder: str, *arguments: str) -> subprocess.Popen[bytes]:
    own = {"WELDLOG_DATA": folder, "WELDLOG_ADDRESS": "https://weldlog.example"}
    kept = {name: value for name, value in os.environ.items() if "DATABASE_URL" not in name}
    return subprocess.Popen(
        [sys.executable, "-m", MODULE, piece, *arguments],
        cwd=settings.BASE_DIR,
        env=kept | own | {"DJANGO_SETTINGS_MODULE": "weldlog.settings"},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )


def _finished(running: subprocess.Popen[bytes]) -> dict[str, Any]:
    """Wait for a piece of work, and return what it said and the most memory it took [MB]."""
    with running:
        said = running.stdout.read() if running.stdout else b""
        complained = running.stderr.read() if running.stderr else b""
        _pid, status, usage = os.wait4(running.pid, 0)
        running.returncode = os.waitstatus_to_exitcode(status)
    if running.returncode:
        raise RuntimeError(complained.decode(errors="replace").strip())
    answer: dict[str, Any] = json.loads(said)
    return answer | {"peak_mb": usage.ru_maxrss / 1024}
