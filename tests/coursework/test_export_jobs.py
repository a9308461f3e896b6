"""Long exports: one at a time, bounded in time and size, and never half a file."""

import errno
import hashlib
import json
import os
import threading
import uuid
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.db import IntegrityError, connection
from pytest_django.fixtures import Settings

from coursework import export_clearing, export_jobs, export_kinds, exports
from coursework.export_clearing import storage
from coursework.export_jobs import OneAtATime, ask, cancel
from coursework.export_kinds import Kind, Writer
from coursework.export_writing import NotMade, Progress
from coursework.models import AuditRow, ExportFile, Section, User
from coursework.models.audit import Act

pytestmark = pytest.mark.django_db

AT = datetime(2026, 11, 20, 15, 0, tzinfo=UTC)
DAY = timedelta(days=1)
State = ExportFile.State
type Write = Writer
type Register = Callable[[Write], str]


@pytest.fixture(autouse=True)
def _own_workshop(settings: Settings, tmp_path: Path) -> Iterator[None]:
    """Work in a folder of the test's own, and leave nothing in the storage that all tests share."""
    settings.EXPORT_WORKSHOP = tmp_path / "workshop"
    with time_machine.travel(AT):
        yield
    for name in stored():
        storage().delete(name)


@pytest.fixture
def kind(monkeypatch: pytest.MonkeyPatch) -> Register:
    """Return a function that makes a kind of file from a writer and gives its key."""

    def register(write: Write) -> str:
        made = Kind("some", "Some", Section, "txt", write)
        monkeypatch.setitem(export_kinds.KINDS, "some", made)
        return "some"

    return register


def stored() -> list[str]:
    return storage().listdir("")[1]


def half_made(settings: Settings) -> list[str]:
    return [each.name for each in Path(settings.EXPORT_WORKSHOP).glob("*")]


def two_words(_about: Section, to: Path, progress: Progress, **_site: str) -> None:
    to.write_text("whole file")
    progress(2, 2)


def now(export: ExportFile) -> ExportFile:
    return ExportFile.objects.get(pk=export.pk)


def row(by: User, section: Section, state: str = State.WAITING, **columns: Any) -> ExportFile:
    """Store a row as a worker in the midst of it would leave it."""
    columns = {"asked_at": AT, "kind": "some"} | columns
    return ExportFile.objects.create(asked_by=by, section=section, state=state, **columns)


# --- from asking to a file


def test_a_file_that_was_asked_for_is_there_with_its_size_and_fingerprint(
    instructor: User, section: Section, kind: Register, settings: Settings
) -> None:
    export = now(ask(instructor, kind(two_words), section, AT))
    assert (export.state, export.done, export.of) == (State.READY, 2, 2)
    with storage().open(export.file) as file:
        content = file.read()
    assert content == b"whole file"
    assert export.sha256 == hashlib.sha256(b"whole file").hexdigest()
    assert export.size_bytes == len(content)
    assert half_made(settings) == []


def test_it_is_kept_for_as_long_as_the_setting_says(
    instructor: User, section: Section, kind: Register, settings: Settings
) -> None:
    settings.EXPORT_KEPT_DAYS = 3
    export = now(ask(instructor, kind(two_words), section, AT))
    assert export.finished_at
    end = export.finished_at + 3 * DAY
    assert export.expires_at == end
    export_clearing.clear_away(end - timedelta(seconds=1))
    assert now(export).state == State.READY
    export_clearing.clear_away(end)
    assert (now(export).state, now(export).file) == (State.EXPIRED, "")
    assert stored() == []


def test_progress_is_written_down_as_it_goes(
    instructor: User, section: Section, kind: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(export_jobs, "TELL_EVERY_S", 0)
    seen = []

    def write(_about: Section, to: Path, progress: Progress, **_site: str) -> None:
        for done in range(1, 4):
            progress(done, 3)
            seen.append(ExportFile.objects.values_list("state", "done", "of").get())
        to.write_text("x")

    ask(instructor, kind(write), section, AT)
    assert seen == [(State.RUNNING, 1, 3), (State.RUNNING, 2, 3), (State.RUNNING, 3, 3)]


def test_many_small_steps_are_not_each_written_down(
    instructor: User,
    section: Section,
    kind: Register,
    django_assert_max_num_queries: Any,
) -> None:
    def write(_about: Section, to: Path, progress: Progress, **_site: str) -> None:
        to.write_text("x")
        with django_assert_max_num_queries(5):
            for done in range(1, 1001):
                progress(done, 1000)

    assert now(ask(instructor, kind(write), section, AT)).state == State.READY


def test_a_file_that_staff_got_is_in_the_audit_table_and_a_student_s_own_is_not(
    instructor: User, student: User, section: Section, kind: Register
) -> None:
    export = now(ask(instructor, kind(two_words), section, AT))
    ask(student, "some", student, AT)
    audited = AuditRow.objects.get(act=Act.EXPORTED)
    assert (audited.actor, audited.about_name) == (instructor, "ALW 12, Section A")
    assert json.loads(audited.after) == {
        "file": "Some",
        "sha256": export.sha256,
        "size_bytes": export.size_bytes,
    }


# --- one at a time


def test_who_has_a_file_in_the_making_is_given_no_second(
    instructor: User, section: Section, kind: Register
) -> None:
    row(instructor, section, State.RUNNING, started_at=AT)
    with pytest.raises(OneAtATime):
        ask(instructor, kind(two_words), section, AT)
    assert ExportFile.objects.count() == 1


def test_two_people_may_have_one_each(
    instructor: User, coordinator: User, section: Section, kind: Register
) -> None:
    row(instructor, section, State.RUNNING, started_at=AT)
    assert now(ask(coordinator, kind(two_words), section, AT)).state == State.READY


def both_at_once(job: Callable[[], object]) -> list[object]:
    """Run a job in two threads that start together; return what came of each."""
    start, came = threading.Barrier(2, timeout=30), []

    def run() -> None:
        try:
            start.wait()
            came.append(job())
        except Exception as error:
            came.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run) for _ in range(2)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    return came


@pytest.mark.postgres(only=True)
@pytest.mark.django_db(transaction=True)
class TestTwoClicksAtOnce:
    """Only PostgreSQL has two writers at once; the control shows that they do meet."""

    def test_the_control_looks_first_and_stores_two(
        self, instructor: User, section: Section
    ) -> None:
        meet = threading.Barrier(2, timeout=30)
        (one_at_a_time,) = (
            each
            for each in ExportFile._meta.constraints
            if each.name == "export_file_one_at_a_time"
        )
        with connection.schema_editor() as editor:
            editor.remove_constraint(ExportFile, one_at_a_time)

        def careless() -> None:
            taken = ExportFile.objects.filter(asked_by=instructor, state=State.WAITING).exists()
            meet.wait()
            if not taken:
                row(instructor, section)

        try:
            both_at_once(careless)
            assert ExportFile.objects.filter(state=State.WAITING).count() == 2
        finally:
            ExportFile.objects.all().delete()
            with connection.schema_editor() as editor:
                editor.add_constraint(ExportFile, one_at_a_time)

    def test_one_is_stored_and_the_other_told(
        self, instructor: User, section: Section, kind: Register, settings: Settings
    ) -> None:
        settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
        key = kind(two_words)
        came = both_at_once(lambda: ask(instructor, key, section, AT))
        assert sorted(type(each).__name__ for each in came) == ["ExportFile", "OneAtATime"]
        assert ExportFile.objects.filter(state=State.WAITING).count() == 1


# --- cancelled


def test_what_is_cancelled_while_it_waits_is_never_begun(
    instructor: User, section: Section, kind: Register
) -> None:
    begun: list[Section] = []
    kind(lambda about, _to, _progress, **_site: begun.append(about))
    waiting = row(instructor, section)
    assert cancel(waiting, AT)
    export_jobs.make.call(waiting.pk)
    assert now(waiting).state == State.CANCELLED
    assert begun == []


def test_what_is_cancelled_half_way_stops_at_the_next_step_and_leaves_no_file(
    instructor: User, section: Section, kind: Register, settings: Settings
) -> None:
    steps = []

    def write(_about: Section, to: Path, progress: Progress, **_site: str) -> None:
        to.write_text("half")
        cancel(ExportFile.objects.get(), AT)
        progress(1, 2)
        steps.append("went on")

    export = ask(instructor, kind(write), section, AT)
    assert now(export).state == State.CANCELLED
    assert (steps, stored(), half_made(settings)) == ([], [], [])


def test_what_is_cancelled_after_the_last_step_is_not_kept(
    instructor: User, section: Section, kind: Register
) -> None:
    def write(_about: Section, to: Path, progress: Progress, **_site: str) -> None:
        to.write_text("whole")
        progress(1, 1)
        cancel(ExportFile.objects.get(), AT)

    export = ask(instructor, kind(write), section, AT)
    assert (now(export).state, stored()) == (State.CANCELLED, [])


def test_what_is_ready_cannot_be_cancelled(
    instructor: User, section: Section, kind: Register
) -> None:
    export = ask(instructor, kind(two_words), section, AT)
    assert not cancel(export, AT)
    assert now(export).state == State.READY


# --- no file, and why


def failing(error: Exception) -> Write:
    def write(_about: Section, to: Path, _progress: Progress, **_site: str) -> None:
        to.write_text("half")
        raise error

    return write


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (NotMade("Nobody is in this section yet."), "Nobody is in this section yet."),
        (exports.NoPdf(), "libpango"),
        (OSError(errno.ENOSPC, "No space left on device"), "disk is full"),
    ],
)
def test_a_failure_leaves_a_sentence_and_no_file(
    error: Exception,
    said: str,
    instructor: User,
    section: Section,
    kind: Register,
    settings: Settings,
) -> None:
    export = now(ask(instructor, kind(failing(error)), section, AT))
    assert export.state == State.FAILED
    assert said in export.problem
    assert (stored(), half_made(settings)) == ([], [])


def test_what_nobody_foresaw_is_told_to_both_without_its_details(
    instructor: User, section: Section, kind: Register, caplog: pytest.LogCaptureFixture
) -> None:
    export = now(ask(instructor, kind(failing(KeyError("heat"))), section, AT))
    assert export.problem == str(export_jobs.BROKEN)
    assert str(export.public_id) in caplog.text
    assert "KeyError: 'heat'" in caplog.text


def test_the_next_file_can_be_asked_for_after_a_failure(
    instructor: User, section: Section, kind: Register
) -> None:
    ask(instructor, kind(failing(NotMade("No."))), section, AT)
    assert now(ask(instructor, kind(two_words), section, AT)).state == State.READY


def test_a_job_that_takes_too_long_is_stopped(
    instructor: User, section: Section, kind: Register, settings: Settings
) -> None:
    settings.EXPORT_LONGEST_S = 0

    def write(_about: Section, _to: Path, progress: Progress, **_site: str) -> None:
        progress(1, 1000)

    export = now(ask(instructor, kind(write), section, AT))
    assert (export.state, export.problem) == (State.FAILED, str(export_jobs.TOO_LONG))


@pytest.mark.parametrize("tells", [True, False], ids=["at a step", "at the end"])
def test_a_file_that_grows_too_large_is_stopped(
    tells: bool, instructor: User, section: Section, kind: Register, settings: Settings
) -> None:
    settings.EXPORT_LARGEST_BYTES = 9

    def write(_about: Section, to: Path, progress: Progress, **_site: str) -> None:
        to.write_text("ten bytes!")
        if tells:
            progress(1, 1000)
            to.write_text("small")

    export = now(ask(instructor, kind(write), section, AT))
    assert (export.state, export.problem) == (State.FAILED, str(export_jobs.TOO_LARGE))
    assert stored() == []


# --- a worker that died


def test_a_job_whose_worker_died_is_marked_after_its_time_and_not_before(
    instructor: User, section: Section, settings: Settings
) -> None:
    running = row(instructor, section, State.RUNNING, started_at=AT)
    last = AT + timedelta(seconds=settings.EXPORT_LONGEST_S) + export_clearing.SILENCE
    export_clearing.mark_lost(last)
    assert now(running).state == State.RUNNING
    export_clearing.mark_lost(last + timedelta(seconds=1))
    assert (now(running).state, now(running).problem) == (State.FAILED, str(export_clearing.LOST))


def test_a_lost_job_does_not_keep_the_person_from_asking(
    instructor: User, section: Section, kind: Register
) -> None:
    row(instructor, section, State.RUNNING, started_at=AT - DAY)
    assert now(ask(instructor, kind(two_words), section, AT)).state == State.READY


def test_a_worker_that_was_only_slow_stores_nothing_once_its_job_is_marked_lost(
    instructor: User, section: Section, kind: Register
) -> None:
    def write(_about: Section, to: Path, progress: Progress, **_site: str) -> None:
        to.write_text("late")
        progress(1, 2)
        ExportFile.objects.update(started_at=AT - DAY)
        export_clearing.mark_lost(AT)

    export = ask(instructor, kind(write), section, AT)
    assert (now(export).state, stored()) == (State.FAILED, [])


def test_what_nobody_takes_up_for_a_day_is_given_up(instructor: User, section: Section) -> None:
    waiting = row(instructor, section)
    export_clearing.mark_lost(AT + DAY)
    assert now(waiting).state == State.WAITING
    export_clearing.mark_lost(AT + DAY + timedelta(seconds=1))
    assert now(waiting).problem == str(export_clearing.NEVER_STARTED)


def test_what_a_dead_worker_left_is_swept_and_what_is_alive_stays(
    instructor: User, section: Section, settings: Settings
) -> None:
    def put(name: object) -> str:
        with storage().open(f"{name}.zip", "wb") as file:
            file.write(b"stored, and nobody was told")
        return f"{name}.zip"

    put(uuid.uuid4())
    alive = put(row(instructor, section, State.RUNNING, started_at=AT).public_id)
    workshop = Path(settings.EXPORT_WORKSHOP)
    workshop.mkdir()
    for name, written in (("old.part", AT - DAY), ("new.part", AT)):
        (workshop / name).write_text("half")
        os.utime(workshop / name, (written.timestamp(), written.timestamp()))
    export_clearing.clear_away(AT)
    assert (stored(), half_made(settings)) == ([alive], ["new.part"])


def test_the_table_takes_no_ready_file_without_a_file(instructor: User, section: Section) -> None:
    with pytest.raises(IntegrityError):
        row(instructor, section, State.READY, expires_at=AT)
