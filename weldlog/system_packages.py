"""What weldlog needs from the operating system, beside Python: is it there, and how to get it.

Standard library alone, readable by Python 3.9: `bootstrap` uses it before anything is installed.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

# Oldest PostgreSQL that Django 6.1 supports (Django 6.1 release notes).
OLDEST_POSTGRESQL = 15


class Part(NamedTuple):
    """One thing to have from the system, and the names it goes by where packages come from."""

    name: str
    is_there: Callable[[], bool]
    debian: tuple[str, ...]
    homebrew: tuple[str, ...]


class NotInstalled(Exception):
    """A part could not be installed; the text is one sentence for the person at the keyboard."""


def has_library(stem: str, debian_file: str) -> bool:
    """Whether the shared library can be loaded, by Debian's file name or by any other."""
    import ctypes.util  # noqa: PLC0415 - costs a start 10 ms, and few commands look

    found = debian_file if sys.platform == "linux" else ctypes.util.find_library(stem)
    try:
        return found is not None and ctypes.CDLL(found) is not None
    except OSError:
        return False


def has_pango() -> bool:
    """Whether the two libraries that lay out text for WeasyPrint are there."""
    return has_library("pango-1.0", "libpango-1.0.so.0") and has_library(
        "pangoft2-1.0", "libpangoft2-1.0.so.0"
    )


def chromium() -> str | None:
    """Return the path of the Chromium (or Chrome) on this machine, or None."""
    names = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
    return next(filter(None, map(shutil.which, names)), None)


def postgresql_folder() -> Path | None:
    """Return the folder of the newest PostgreSQL server programs, version 15 or newer, or None."""
    pattern = "lib/postgresql/*/bin/initdb"
    found = [path.parent for path in Path("/usr").glob(pattern) if _server_version(path) >= 0]
    found.sort(key=lambda folder: _server_version(folder / "initdb"))
    on_path = shutil.which("initdb")
    if on_path:
        found.append(Path(on_path).resolve().parent)
    fitting = [f for f in found if _server_version(f / "initdb") >= OLDEST_POSTGRESQL]
    return fitting[-1] if fitting else None


def _server_version(initdb: Path) -> int:
    answer = subprocess.run([str(initdb), "--version"], capture_output=True, text=True, check=False)
    digits = answer.stdout.rpartition(") ")[2].partition(".")[0].strip()
    return int(digits) if digits.isdigit() else -1


PANGO = Part(
    "Pango, which lays out the PDFs",
    has_pango,
    # harfbuzz-subset keeps WeasyPrint's font subsetting fast; Pango brings a font with it.
    ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0"),
    ("pango",),
)
CHROMIUM = Part(
    "Chromium, which the browser tests drive",
    lambda: chromium() is not None,
    ("chromium",),
    ("--cask", "chromium"),
)
POSTGRESQL = Part(
    "PostgreSQL 15 or newer, which the tests run against as well",
    lambda: postgresql_folder() is not None,
    ("postgresql",),
    ("postgresql@17",),
)
VENV = Part(
    "Python's own venv module",
    lambda: _imports("venv") and _imports("ensurepip"),
    (f"python{sys.version_info[0]}.{sys.version_info[1]}-venv",),
    ("python",),
)

# What a command cannot do without, and what it can leave out but then names.
NEEDED = {"demo": (PANGO,)}
WANTED = {"test": (PANGO, CHROMIUM, POSTGRESQL), "db_worker": (PANGO,)}


def _imports(module: str) -> bool:
    import importlib.util  # noqa: PLC0415 - costs every start 5 ms, and is needed at set-up alone

    return importlib.util.find_spec(module) is not None


def missing(parts: Sequence[Part]) -> list[Part]:
    """Return those of the parts that are not on this machine."""
    return [part for part in parts if not part.is_there()]


def install_line(parts: Sequence[Part]) -> str:
    """Return the command that installs the parts on this kind of machine."""
    if shutil.which("apt-get"):
        sudo = "" if _is_root() else "sudo "
        return f"{sudo}apt-get update && {sudo}apt-get install {_names(parts, 'debian')}"
    if shutil.which("brew"):
        return f"brew install {_names(parts, 'homebrew')}"
    return f"your package manager's line for {_names(parts, 'homebrew')}"


def _names(parts: Sequence[Part], kind: str) -> str:
    return " ".join(name for part in parts for name in getattr(part, kind))


def _is_root() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0


def install(parts: Sequence[Part], say: Callable[[str], None]) -> None:
    """Install the parts where this process may: as root, with Debian's package manager.

    Raises NotInstalled, naming the line that would do it, where it may not or where it failed.
    """
    names = " and ".join(part.name for part in parts)
    if not (_is_root() and shutil.which("apt-get")):
        raise NotInstalled(f"{names} is missing; install it with: {install_line(parts)}")
    packages = _names(parts, "debian").split()
    say(f"installing {' '.join(packages)}, once")
    _apt_get("update")
    complaint = _apt_get("install", "--no-install-recommends", *packages)
    if complaint or missing(parts):
        raise NotInstalled(
            f"{names} could not be installed (apt-get said: {complaint or 'nothing'}); "
            f"try: {install_line(parts)}"
        )


def _apt_get(*step: str) -> str:
    """Run one step without a question; return its last complaint where it failed."""
    result = subprocess.run(
        ["apt-get", "-qq", "--yes", *step],  # noqa: S607 - where it lies is the system's to say
        env=dict(os.environ, DEBIAN_FRONTEND="noninteractive"),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    return (result.stderr.strip() or "nothing").splitlines()[-1] if result.returncode else ""
