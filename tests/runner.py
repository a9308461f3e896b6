"""What TEST_RUNNER names: pytest on SQLite, then the tests marked `postgres` on PostgreSQL."""

import json
import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from tests import postgresql
from weldlog import system_packages

ROOT = Path(__file__).resolve().parent.parent
NO_TESTS = 5  # pytest's exit code where nothing was selected


@dataclass(frozen=True)
class Tally:
    """What one run of pytest came to."""

    exit_code: int
    passed: int = 0
    failed: int = 0
    skipped: int = 0
    postgres: int = 0

    @property
    def was_good(self) -> bool:
        """Whether nothing failed; a selection may be empty in one of the two runs."""
        return self.exit_code in {0, NO_TESTS}


class Runner:
    """Run the suite, name what could not run, and close with one line of numbers."""

    def run_tests(self, arguments: list[str]) -> int:
        """Return 0 where all that ran passed, and nothing was left out that CI asks for."""
        lacking = system_packages.missing(system_packages.WANTED["test"])
        tallies = [first := _run_pytest(arguments)]
        if first.was_good and first.postgres and system_packages.POSTGRESQL not in lacking:
            with postgresql.server() as address:
                _say("\nOnce more on PostgreSQL, the tests that are marked for it:")
                tallies.append(_run_pytest(arguments, address))
        for part in lacking:
            _say(f"left out, for want of {part.name}: {system_packages.install_line([part])}")
        _say(_closing_line(tallies))
        return _exit_code(tallies, lacking_in_ci=bool(lacking) and os.environ.get("CI") == "true")


def _run_pytest(arguments: list[str], address: str = "") -> Tally:
    with tempfile.TemporaryDirectory() as folder:
        tally = Path(folder, "tally.json")
        surroundings = dict(os.environ, WELDLOG_TEST_TALLY=str(tally), WELDLOG_DATABASE_URL=address)
        command = [sys.executable, "-m", "pytest", *arguments]
        done = subprocess.run(command, cwd=ROOT, env=surroundings, check=False)
        counts = json.loads(tally.read_text()) if tally.exists() else {}
    return Tally(done.returncode, **counts)


def _closing_line(tallies: list[Tally]) -> str:
    passed = sum(tally.passed for tally in tallies)
    failed = sum(tally.failed for tally in tallies)
    skipped = sum(tally.skipped for tally in tallies)
    return f"\nweldlog: {passed} passed, {failed} failed, {skipped} skipped"


def _exit_code(tallies: list[Tally], *, lacking_in_ci: bool) -> int:
    bad = [tally.exit_code for tally in tallies if not tally.was_good]
    if bad or lacking_in_ci:
        return bad[0] if bad else 1
    return min(tally.exit_code for tally in tallies)


def _say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()
