"""Bring up what a command runs in: a new enough Python, `.venv`, and the system's libraries.

Standard library alone, and Python 3.9 can read it: it runs before anything is installed, in
whatever `python3` there is. When all is there it costs a comparison of two small files.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections import deque
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import IO

from weldlog import system_packages

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
OLDEST_PYTHON = (3, 12)
REQUIREMENTS = "requirements.txt"
TEST_REQUIREMENTS = "requirements-test.txt"


class NotReady(Exception):
    """The command cannot start; the text is one sentence for the person at the keyboard."""


def enter(arguments: list[str]) -> None:
    """Return in a process that has all that `manage.py COMMAND` needs, or end with one sentence.

    The process may be replaced: first by a newer Python, then by the one in `.venv`.
    """
    command = arguments[1] if len(arguments) > 1 else ""
    try:
        _enter_python(arguments, command)
        _bring_system_packages(command)
        if command == "demo":
            _settle_demo()
    except (NotReady, system_packages.NotInstalled) as reason:
        sys.exit(f"weldlog: {reason}")
    except KeyboardInterrupt:
        sys.exit("weldlog: stopped; the same command takes up the set-up again.")


def _enter_python(arguments: list[str], command: str) -> None:
    if os.environ.get("WELDLOG_ENVIRONMENT") == "current":
        return _refuse_old_python()
    lacking = [name for name in _requirements(command) if not _is_installed(name)]
    if lacking and sys.version_info < OLDEST_PYTHON:
        return _run_again(find_python(), arguments)
    for name in lacking:
        _install(name)
    if Path(sys.prefix).resolve() != ENVIRONMENT.resolve():
        return _run_again(environment_python(), arguments)
    return None


def _requirements(command: str) -> tuple[str, ...]:
    return (REQUIREMENTS, TEST_REQUIREMENTS) if command == "test" else (REQUIREMENTS,)


def _refuse_old_python() -> None:
    if sys.version_info < OLDEST_PYTHON:
        raise NotReady("WELDLOG_ENVIRONMENT=current needs Python 3.12 or newer as the current one.")


def _run_again(python: str, arguments: Sequence[str]) -> None:
    # PYTHONHOME would make the next interpreter believe that it is not in `.venv`.
    os.environ.pop("PYTHONHOME", None)
    sys.stdout.flush()
    if os.name == "nt":  # where exec returns to the shell before the new process is done
        sys.exit(subprocess.run([python, *arguments], check=False).returncode)
    os.execv(python, [python, *arguments])  # noqa: S606


# --- a Python that is new enough


def find_python() -> str:
    """Return the path of a Python 3.12 or newer that answers; NotReady where there is none."""
    for candidate in _candidates():
        if _answers(candidate):
            return candidate
    raise NotReady(
        "Python 3.12 or newer is needed and none was found: install it with your system's package "
        "manager or with `uv python install 3.13`, then run the same command again."
    )


def _candidates() -> Iterator[str]:
    import shutil  # noqa: PLC0415 - not needed on an ordinary start

    for name in ("python3.14", "python3.13", "python3.12", "python3", "python"):
        yield shutil.which(name) or ""
    for folder, pattern in _manager_folders():
        yield from sorted(map(str, folder.glob(pattern)), reverse=True)
    yield _ask_uv(shutil.which("uv"))


def _manager_folders() -> list[tuple[Path, str]]:
    home = Path.home()
    pyenv = Path(os.environ.get("PYENV_ROOT") or home / ".pyenv")
    return [
        (pyenv / "versions", "3.1[2-9]*/bin/python"),
        (home / ".asdf/installs/python", "3.1[2-9]*/bin/python"),
        (home / ".local/share/mise/installs/python", "3.1[2-9]*/bin/python"),
        (home / ".local/share/uv/python", "cpython-3.1[2-9]*/bin/python3"),
        (Path("/opt/homebrew/bin"), "python3.1[2-9]"),
        (Path("/usr/local/bin"), "python3.1[2-9]"),
        (home, "AppData/Local/Programs/Python/Python31[2-9]/python.exe"),
    ]


def _ask_uv(uv: str | None) -> str:
    if not uv:
        return ""
    question = [uv, "python", "find", "--no-python-downloads", ">=3.12"]
    answer = subprocess.run(question, capture_output=True, text=True, check=False)
    return answer.stdout.strip()


def _answers(candidate: str) -> bool:
    """Run the candidate: a version manager's stand-in is on the path and may yet refuse."""
    question = f"import sys; sys.exit(sys.version_info < {OLDEST_PYTHON})"
    try:
        answer = subprocess.run(
            [candidate, "-c", question], capture_output=True, timeout=30, check=False
        )
    except (OSError, subprocess.TimeoutExpired):
        return False
    return answer.returncode == 0


# --- `.venv`


def environment_python() -> str:
    """Return the path of the interpreter in `.venv`, whether or not it is there."""
    inside = "Scripts/python.exe" if os.name == "nt" else "bin/python"
    return str(ENVIRONMENT / inside)


def _is_installed(name: str) -> bool:
    """Whether `.venv` holds what the file lists: a copy of it is put there as the last step."""
    try:
        same = (ENVIRONMENT / name).read_bytes() == (ROOT / name).read_bytes()
    except OSError:
        return False
    return same and Path(environment_python()).exists()


def _install(name: str) -> None:
    started = time.monotonic()
    _say(f"installing {name} into .venv, once")
    _make_environment()
    copy = ENVIRONMENT / name
    copy.unlink(missing_ok=True)
    _pip_install(name)
    copy.write_bytes((ROOT / name).read_bytes())
    _say(f"installed in {time.monotonic() - started:.0f} s")


def _make_environment() -> None:
    """Make `.venv` anew unless one is there that was finished once."""
    finished = any((ENVIRONMENT / name).exists() for name in (REQUIREMENTS, TEST_REQUIREMENTS))
    if not finished or not Path(environment_python()).exists():
        _refuse_read_only_folder()
        _bring([system_packages.VENV])
        _run_quietly([sys.executable, "-m", "venv", "--clear", str(ENVIRONMENT)], "make .venv")


def _refuse_read_only_folder() -> None:
    try:
        ENVIRONMENT.mkdir(exist_ok=True)
    except OSError as error:
        raise NotReady(
            f"{ENVIRONMENT} cannot be made ({error.strerror}); copy weldlog to a folder that you "
            "may write to and run the same command there."
        ) from error


def _pip_install(name: str) -> None:
    # Wheels alone, so that every file that runs here is one whose hash is listed.
    options = ["--no-deps", "--require-hashes", "--only-binary=:all:", "--no-input"]
    pip = [environment_python(), "-m", "pip", "install", "--disable-pip-version-check", *options]
    total = (ROOT / name).read_text(encoding="utf-8").count("==")
    _run_quietly([*pip, "-r", str(ROOT / name)], "install the Python packages", total)


def _run_quietly(command: Sequence[str], aim: str, total: int = 0) -> None:
    """Run the command; on failure raise NotReady with the last thing that it complained of."""
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, cwd=ROOT
    ) as process:
        assert process.stdout is not None  # noqa: S101 - a pipe was asked for
        lines = _show_progress(process.stdout, total)
    if process.returncode:
        said = [line for line in lines if "error" in line.lower()] or list(lines) or ["nothing"]
        raise NotReady(
            f"could not {aim} (the last word was: {said[-1].strip()}); check the network "
            "connection and the free disk space, then run the same command again."
        )


def _show_progress(output: IO[str], total: int) -> deque[str]:
    lines: deque[str] = deque(maxlen=30)
    done = 0
    for line in output:
        lines.append(line)
        done += line.startswith("Collecting ")
        if total and sys.stderr.isatty():
            sys.stderr.write(f"\rweldlog: {done} of {total} packages")
    if total and sys.stderr.isatty():
        sys.stderr.write("\n")
    return lines


# --- the system's packages, and the demo's own settings


def _bring_system_packages(command: str) -> None:
    _bring(system_packages.NEEDED.get(command, ()))
    try:
        _bring(system_packages.WANTED.get(command, ()))
    except system_packages.NotInstalled:
        return  # the command goes on without, and names at its end what it left out


def _bring(parts: Sequence[system_packages.Part]) -> None:
    missing = system_packages.missing(parts)
    if missing:
        system_packages.install(missing, _say)


def _settle_demo() -> None:
    """Point the demo at a folder of its own, whatever the surroundings say: it may start afresh."""
    folder = ROOT / "var" / "demo"
    for name in [name for name in os.environ if name.startswith("WELDLOG_")]:
        del os.environ[name]
    os.environ.update(
        WELDLOG_DATA=str(folder),
        WELDLOG_SECRET_KEY=_kept_key(folder / "secret-key"),
        WELDLOG_ALLOWED_HOSTS="127.0.0.1,localhost",
        WELDLOG_HTTPS="false",
    )


def _kept_key(path: Path) -> str:
    """Return the demo's key, made at its first run: sign-ins outlast a restart."""
    try:
        if not path.exists():
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(os.urandom(40).hex(), encoding="ascii")
        return path.read_text(encoding="ascii")
    except OSError as error:
        raise NotReady(
            f"{path.parent}, where the demo keeps its files, cannot be used ({error.strerror}); "
            "copy weldlog to a folder that you may write to and run the same command there."
        ) from error


def _say(text: str) -> None:
    sys.stderr.write(f"weldlog: {text}\n")
