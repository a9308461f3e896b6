"""What becomes of export files in the end: expired, lost, swept away."""

from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from django.conf import settings
from django.core.files.storage import Storage, storages
from django.db.models import Q
from django.tasks import task
from django.utils import timezone
from django.utils.translation import gettext_lazy
from django_tasks_db.models import DBTaskResult

from coursework.models import ExportFile

State = ExportFile.State

# How long past its end a job may be silent before it counts as lost.
SILENCE: Final = timedelta(minutes=1)
# Nobody runs the worker, when nothing was taken up in that time.
LONGEST_WAIT: Final = timedelta(days=1)
# How long the worker's own notes of what it did are kept.
NOTES_KEPT: Final = timedelta(days=30)

LOST = gettext_lazy("The work on it was cut off half way. Ask for it again.")
NEVER_STARTED = gettext_lazy(
    "Nothing took it up for a day: tell whoever runs weldlog here that the worker is not running."
)


def storage() -> Storage:
    """Return where the files lie, out of reach of any address."""
    return storages["exports"]


def mark_lost(at: datetime) -> int:
    """Mark as failed what a dead worker left running and what nobody took up; return how many."""
    latest_start = at - timedelta(seconds=settings.EXPORT_LONGEST_S) - SILENCE
    cut_off = Q(state=State.RUNNING, started_at__lt=latest_start)
    left = Q(state=State.WAITING, asked_at__lt=at - LONGEST_WAIT)
    return sum(_give_up(each, at) for each in ExportFile.objects.filter(cut_off | left))


def _give_up(export: ExportFile, at: datetime) -> int:
    problem = str(LOST if export.state == State.RUNNING else NEVER_STARTED)
    found = ExportFile.objects.filter(pk=export.pk, state=export.state)
    return found.update(state=State.FAILED, finished_at=at, problem=problem)


@task
def clear_away_now() -> None:
    """Clear away what has expired by the time that the worker gets to it."""
    clear_away(timezone.now())


def clear_away_at(at: datetime) -> None:
    """Have the worker clear away at a time to come."""
    if clear_away_now.get_backend().supports_defer:
        clear_away_now.using(run_after=at).enqueue()


def clear_away(at: datetime) -> None:
    """Remove expired files, mark lost jobs, sweep what no row names and what is half made."""
    mark_lost(at)
    _expire(at)
    _sweep_storage()
    _sweep_workshop(at)
    DBTaskResult.objects.filter(started_at__lt=at - NOTES_KEPT).delete()


def _expire(at: datetime) -> None:
    for export in ExportFile.objects.filter(state=State.READY, expires_at__lte=at):
        ready = ExportFile.objects.filter(pk=export.pk, state=State.READY)
        if ready.update(state=State.EXPIRED, file=""):
            storage().delete(export.file)


def _sweep_storage() -> None:
    """Delete stored files of jobs that died between storing and saying so, and of deleted rows."""
    place = storage()
    if not place.exists(""):
        return
    _folders, names = place.listdir("")
    wanted = ExportFile.objects.filter(state__in=[State.RUNNING, State.READY])
    ids = {str(each) for each in wanted.values_list("public_id", flat=True)}
    for name in names:
        if name[:36] not in ids:
            place.delete(name)


def _sweep_workshop(at: datetime) -> None:
    """Delete what a dead worker left half made; whatever is alive has written since."""
    oldest = (at - timedelta(seconds=settings.EXPORT_LONGEST_S) - SILENCE).timestamp()
    for path in Path(settings.EXPORT_WORKSHOP).glob("*.part"):
        if path.stat().st_mtime < oldest:
            path.unlink(missing_ok=True)
