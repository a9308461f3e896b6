"""The worker as a process of its own, on a database file: it ends well, and it is killed."""

import os
import signal
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.tasks import default_task_backend
from pytest_django.fixtures import Settings

from coursework.demo.worker import working
from coursework.export_jobs import ask
from coursework.export_kinds import KINDS
from coursework.models import ExportFile, Section, User
from tests.slow_kind import slow

pytestmark = pytest.mark.django_db(transaction=True)
LONGEST_S = 60


class Place:
    """A folder with a database file, for a worker, and what the test sees of it from outside."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.surroundings = os.environ | {
            "DJANGO_SETTINGS_MODULE": "tests.worker_settings",
            "WELDLOG_DATA": str(folder),
        }

    def opened(self) -> closing[sqlite3.Connection]:
        return closing(sqlite3.connect(self.folder / "weldlog.sqlite3", timeout=20))

    def fill(self) -> None:
        """Copy the database of the tests, as it stands, into the file."""
        connection.ensure_connection()
        with self.opened() as file:
            connection.connection.backup(file)

    def fetch(self) -> None:
        """Copy the file, as the worker left it, into the database of the tests."""
        with self.opened() as file:
            file.backup(connection.connection)

    def row(self, pk: int) -> dict[str, Any]:
        with self.opened() as file:
            file.row_factory = sqlite3.Row
            found = file.execute("SELECT * FROM coursework_exportfile WHERE id = ?", [pk])
            return dict(found.fetchone())

    def stored(self) -> list[str]:
        return sorted(each.name for each in self.folder.glob("exports/*"))

    def half_made(self) -> list[Path]:
        return list(self.folder.glob("exports-in-the-making/*.part"))

    def go_on(self) -> None:
        (self.folder / "exports-in-the-making").mkdir(exist_ok=True)
        (self.folder / "exports-in-the-making" / "go-on").touch()


@pytest.fixture
def place(tmp_path: Path, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> Place:
    """Give a place whose tasks go to the table, as in production."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    assert default_task_backend.supports_defer
    monkeypatch.setitem(KINDS, "slow", slow())
    return Place(tmp_path)


def until(true: Callable[[], bool]) -> None:
    end = time.monotonic() + LONGEST_S
    while not true():
        assert time.monotonic() < end, "the worker did not get there"
        time.sleep(0.1)


def test_the_worker_makes_what_is_asked_for_and_ends_with_the_server(
    place: Place, instructor: User, section: Section
) -> None:
    asked = ask(instructor, "slow", section, datetime.now(UTC), site="https://weldlog.example/")
    place.fill()
    place.go_on()
    with working(place.surroundings) as worker:
        until(lambda: place.row(asked.pk)["state"] not in ExportFile.OPEN)
    assert worker.returncode == 0
    row = place.row(asked.pk)
    assert (row["state"], row["file"]) == ("ready", f"{asked.public_id}.txt")
    made = place.folder / "exports" / row["file"]
    assert made.read_text() == "whole file made at https://weldlog.example/"
    assert made.stat().st_mode & 0o077 == 0
    assert place.half_made() == []


def test_a_worker_killed_half_way_leaves_nothing_to_serve_and_the_next_one_clears_up(
    place: Place, instructor: User, coordinator: User, section: Section
) -> None:
    now = datetime.now(UTC)
    killed = ask(instructor, "slow", section, now)
    place.fill()
    with working(place.surroundings) as worker:
        until(lambda: place.row(killed.pk)["done"] == 2)
        worker.send_signal(signal.SIGKILL)
        worker.wait()
    row = place.row(killed.pk)
    assert (row["state"], row["file"], place.stored()) == ("running", "", [])
    (half,) = place.half_made()

    # An hour later somebody asks for another file, and the worker runs again.
    place.fetch()
    hour_ago = now - timedelta(hours=1)
    ExportFile.objects.filter(pk=killed.pk).update(started_at=hour_ago)
    os.utime(half, (hour_ago.timestamp(), hour_ago.timestamp()))
    other = ask(coordinator, "slow", section, now)
    place.fill()
    place.go_on()
    with working(place.surroundings):
        until(lambda: place.row(other.pk)["state"] == "ready")
    row = place.row(killed.pk)
    assert row["state"] == "failed"
    assert row["problem"] == "The work on it was cut off half way. Ask for it again."
    assert place.stored() == [f"{other.public_id}.txt"]
    assert place.half_made() == []


def test_a_worker_that_has_to_go_says_so_of_the_job_in_hand(
    place: Place, instructor: User, section: Section
) -> None:
    asked = ask(instructor, "slow", section, datetime.now(UTC))
    place.fill()
    with working(place.surroundings):
        until(lambda: place.row(asked.pk)["done"] == 2)
    row = place.row(asked.pk)
    assert row["state"] == "failed"
    assert row["problem"] == "The work on it was cut off half way. Ask for it again."
    assert (place.stored(), place.half_made()) == ([], [])
