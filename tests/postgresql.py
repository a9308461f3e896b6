"""A PostgreSQL server of the tests' own: made for one run, in a folder that goes with it."""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from weldlog import system_packages

# Nothing here outlives the run, so nothing need survive a power cut.
OPTIONS = "-c listen_addresses='' -c fsync=off -c synchronous_commit=off -c full_page_writes=off"
ROOM_BYTES = 512 * 1024 * 1024


@contextmanager
def server() -> Iterator[str]:
    """Start a server that is reached through a socket in its own folder; give its address."""
    programs = system_packages.postgresql_folder()
    if programs is None:
        raise RuntimeError(f"PostgreSQL is missing: {_line()}")
    folder = Path(tempfile.mkdtemp(prefix="weldlog-", dir=_memory_folder()))
    owner = _owner(folder)
    control = [str(programs / "pg_ctl"), "--pgdata", str(folder / "data"), "--wait"]
    log = ["--log", str(folder / "log"), "--options", f"{OPTIONS} -k {folder}"]
    try:
        _run([str(programs / "initdb"), *_initdb_options(folder)], owner)
        _run([*control, *log, "start"], owner)
        try:
            yield f"postgres://weldlog@/postgres?host={folder}"
        finally:
            _run([*control, "--mode", "immediate", "stop"], owner)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _line() -> str:
    return system_packages.install_line([system_packages.POSTGRESQL])


def _initdb_options(folder: Path) -> list[str]:
    where = ["--pgdata", str(folder / "data"), "--no-sync"]
    return [*where, "--username", "weldlog", "--auth", "trust", "--encoding", "UTF8", "--no-locale"]


def _memory_folder() -> str | None:
    """Return a folder in memory that has room, which halves the start; None for the usual place."""
    shared = Path("/dev/shm")  # noqa: S108 - made with mkdtemp below it
    return str(shared) if shared.is_dir() and shutil.disk_usage(shared).free > ROOM_BYTES else None


def _owner(folder: Path) -> dict[str, Any]:
    """Give the folder to an ordinary user where this is root, as whom PostgreSQL will not run."""
    if os.geteuid() != 0:
        return {}
    names = {entry.pw_name: entry for entry in pwd.getpwall()}
    entry = names.get("postgres") or names["nobody"]
    os.chown(folder, entry.pw_uid, entry.pw_gid)
    return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}


def _run(command: list[str], owner: dict[str, Any]) -> None:
    # Output goes nowhere: a server that inherited a pipe would keep it open.
    subprocess.run(
        command, check=True, cwd="/", stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **owner
    )
