"""The one command for the tests: two runs, one closing line, and nothing left out in silence."""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from tests import postgresql, runner
from tests.runner import Runner, Tally
from weldlog import system_packages
from weldlog.system_packages import Part

GOOD = Tally(exit_code=0, passed=3, skipped=1, postgres=2)
GONE = Part("A browser", lambda: False, ("browser",), ("browser",))


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Give the addresses that pytest was run on; each run comes to GOOD."""
    addresses: list[str] = []

    def run(_arguments: list[str], address: str = "") -> Tally:
        addresses.append(address)
        return GOOD

    @contextmanager
    def server() -> Iterator[str]:
        yield "postgres://here"

    monkeypatch.setattr(runner, "_run_pytest", run)
    monkeypatch.setattr(postgresql, "server", server)
    monkeypatch.setitem(system_packages.WANTED, "test", ())
    monkeypatch.delenv("CI", raising=False)
    return addresses


def test_tests_marked_for_it_run_a_second_time_on_postgresql(
    runs: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert Runner().run_tests([]) == 0
    assert runs == ["", "postgres://here"]
    assert capsys.readouterr().out.splitlines()[-1] == "weldlog: 6 passed, 0 failed, 2 skipped"


def test_what_was_left_out_is_named_with_the_line_that_brings_it(
    runs: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(system_packages.WANTED, "test", (GONE,))
    assert Runner().run_tests([]) == 0
    assert "left out, for want of A browser: " in capsys.readouterr().out
    monkeypatch.setenv("CI", "true")
    assert Runner().run_tests([]) == 1


@pytest.mark.parametrize(
    ("first", "code"),
    [(Tally(exit_code=1, failed=1), 1), (Tally(exit_code=5), 5), (Tally(exit_code=2), 2)],
)
def test_a_failure_an_empty_selection_and_an_interruption_are_none_of_them_a_success(
    runs: list[str], monkeypatch: pytest.MonkeyPatch, first: Tally, code: int
) -> None:
    monkeypatch.setattr(runner, "_run_pytest", lambda *_: first)
    assert Runner().run_tests([]) == code


def test_djangos_own_command_hands_every_argument_to_pytest() -> None:
    answer = subprocess.run(
        [sys.executable, "manage.py", "test", "tests/test_docs.py", "-k", "variable", "-q"],
        cwd=runner.ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert answer.stdout.splitlines()[-1] == "weldlog: 1 passed, 0 failed, 0 skipped", answer
