"""Files that take long: asked for on a page, made by the worker, kept for some days.

    waiting -> running -> ready -> expired
       \\________\\______-> cancelled, failed

Every change of state names the state that it starts from in its ``UPDATE``, so that a worker, a
person who cancels and whoever finds a lost job never overrule one another. A person has one file
waiting or running at a time; the database sees to it. The row of a file and the task that makes it
are stored in one transaction.
"""

import errno
import hashlib
import logging
import time
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core.files import File
from django.db import IntegrityError, transaction
from django.tasks import task
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework import export_clearing, exports
from coursework.audit import record_act
from coursework.conflicts import Conflict
from coursework.export_kinds import KINDS, title_of
from coursework.export_writing import NotMade
from coursework.models import ExportFile, Section, User
from coursework.models.audit import Act

State = ExportFile.State

logger = logging.getLogger(__name__)

# How often a job that takes many small steps writes down how far it is [s].
TELL_EVERY_S: Final = 0.5

TOO_LONG = gettext_lazy(
    "It took too long and was stopped. Ask for less at once, such as one student, or ask again "
    "when fewer people use the site."
)
TOO_LARGE = gettext_lazy("It grew too large and was stopped. Ask for less at once.")
DISK_FULL = gettext_lazy("The disk is full: tell whoever runs weldlog here, then ask again.")
BROKEN = gettext_lazy(
    "Something went wrong on our side and was written down for whoever runs weldlog here. Ask for "
    "it again; if it goes wrong again, tell them."
)


class OneAtATime(Conflict):
    """The person has a file that waits or is being made."""


class _Gone(Exception):
    """The job is no longer the one that is running: it was cancelled, or taken for lost."""


# --- by people


def ask(by: User, kind: str, about: Section | User, at: datetime, *, site: str = "") -> ExportFile:
    """Ask for a file; ``site`` is the address that the site was reached at.

    Raises
    ------
    OneAtATime
        When the person has a file that waits or is being made; nothing is stored then.
    """
    export_clearing.mark_lost(at)
    subject = {"section": about} if isinstance(about, Section) else {"student": about}
    try:
        with transaction.atomic():
            asked = ExportFile.objects.create(
                asked_by=by, kind=kind, asked_at=at, site=site, **subject
            )
            make.enqueue(asked.pk)
    except IntegrityError as error:
        raise OneAtATime from error
    return asked


def see(files: Iterable[ExportFile], at: datetime) -> None:
    """Write down that a person looked at what became of these files."""
    done = [each.pk for each in files if not each.is_open and each.seen_at is None]
    ExportFile.objects.filter(pk__in=done).update(seen_at=at)


def cancel(export: ExportFile, at: datetime) -> bool:
    """Call a file off; return False when it was no longer waiting or being made.

    A worker that is at it notices at its next step.
    """
    return _move(export.pk, ExportFile.OPEN, State.CANCELLED, finished_at=at, seen_at=at)


# --- by the worker


@task
def make(pk: int) -> None:
    """Make the file that was asked for, unless it was cancelled in the meantime."""
    export_clearing.clear_away(timezone.now())
    if not _move(pk, [State.WAITING], State.RUNNING, started_at=timezone.now()):
        return
    export = ExportFile.objects.select_related(
        "section__term__school__settings", "section__plan", "student__school", "asked_by"
    ).get(pk=pk)
    workplace = _workplace(export)
    try:
        _write(export, workplace)
        _put_away(export, workplace)
    except _Gone:
        pass
    except Exception as error:
        _fail(export, error)
    except BaseException:
        _move(
            pk,
            [State.RUNNING],
            State.FAILED,
            finished_at=timezone.now(),
            problem=str(export_clearing.LOST),
        )
        raise
    finally:
        workplace.unlink(missing_ok=True)


def _workplace(export: ExportFile) -> Path:
    folder = Path(settings.EXPORT_WORKSHOP)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder / f"{export.public_id}.part"


def _write(export: ExportFile, to: Path) -> None:
    """Run the kind's writer, under a watch that stops it."""
    about = export.section or export.student
    KINDS[export.kind].write(about, to, _watch(export, to), site=export.site)
    _look_at_size(to)


def _watch(export: ExportFile, to: Path) -> Callable[[int, int], None]:
    """Return the function that a writer tells how far it is, and that stops it."""
    end = time.monotonic() + settings.EXPORT_LONGEST_S
    told = 0.0

    def progress(done: int, of: int) -> None:
        nonlocal told
        now = time.monotonic()
        if now > end:
            raise NotMade(str(TOO_LONG))
        _look_at_size(to)
        if done < of and now - told < TELL_EVERY_S:
            return
        told = now
        if not _move(export.pk, [State.RUNNING], State.RUNNING, done=min(done, of), of=of):
            raise _Gone

    return progress


def _look_at_size(path: Path) -> None:
    """Stop what has grown too large, with what its writer put beside it."""
    written = sum(each.stat().st_size for each in path.parent.glob(f"{path.name}*"))
    if written > settings.EXPORT_LARGEST_BYTES:
        raise NotMade(str(TOO_LARGE))


def _put_away(export: ExportFile, made: Path) -> None:
    """Store the file and say that it is ready; take it back where nobody waits for it any more."""
    with made.open("rb") as opened:
        sha256 = hashlib.file_digest(opened, "sha256").hexdigest()
        opened.seek(0)
        name = export_clearing.storage().save(
            f"{export.public_id}.{KINDS[export.kind].extension}", File(opened)
        )
    now = timezone.now()
    export.file, export.size_bytes, export.sha256 = name, made.stat().st_size, sha256
    export.finished_at, export.expires_at = now, now + timedelta(days=settings.EXPORT_KEPT_DAYS)
    if not _tell_ready(export):
        export_clearing.storage().delete(name)


@transaction.atomic
def _tell_ready(export: ExportFile) -> bool:
    """Say that the file is ready, in the audit table too where it is not a student's own."""
    names = ("file", "size_bytes", "sha256", "finished_at", "expires_at")
    columns = {name: getattr(export, name) for name in names}
    if not _move(export.pk, [State.RUNNING], State.READY, **columns):
        return False
    if export.expires_at:
        export_clearing.clear_away_at(export.expires_at)
    about = export.section or export.student
    if about and not export.asked_by.is_student:
        said = {"file": title_of(export), "size_bytes": export.size_bytes, "sha256": export.sha256}
        record_act(export.asked_by, Act.EXPORTED, about, after=said)
    return True


def _fail(export: ExportFile, error: Exception) -> None:
    if isinstance(error, NotMade):
        problem = str(error)
    elif isinstance(error, exports.NoPdf):
        problem = _(
            "PDFs need Pango, which this computer lacks: whoever runs weldlog here installs "
            "it with %(line)s."
        ) % {"line": exports.INSTALL_LINE}
    elif isinstance(error, OSError) and error.errno == errno.ENOSPC:
        problem = str(DISK_FULL)
    else:
        logger.exception("Export %s (%s) was not made", export.public_id, export.kind)
        problem = str(BROKEN)
    now = timezone.now()
    _move(export.pk, [State.RUNNING], State.FAILED, finished_at=now, problem=problem)


def _move(pk: int, start: Iterable[str], end: str, **columns: Any) -> bool:
    """Change the state of a file that is in one of these states; return whether it was."""
    found = ExportFile.objects.filter(pk=pk, state__in=list(start))
    return bool(found.update(state=end, **columns))
