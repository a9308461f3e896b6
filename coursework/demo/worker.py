"""The worker beside the demo's server: a process of its own, which ends when the server does."""

import contextlib
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from typing import Final

import django
from django.conf import settings
from django.core.management import call_command

# How long a job that is under way may take to come to its end, after each of two signals [s].
PATIENCE_S: Final = 3


@contextlib.contextmanager
def working(surroundings: Mapping[str, str] | None = None) -> Iterator[subprocess.Popen[bytes]]:
    """Run the worker as long as the block runs, with these environment variables or one's own."""
    # In a session of its own Ctrl+C does not reach it; it is told by its input, which also closes
    # when this process is killed.
    worker = subprocess.Popen(
        [sys.executable, "-m", "coursework.demo.worker"],
        cwd=settings.BASE_DIR,
        env=dict(surroundings) if surroundings else None,
        stdin=subprocess.PIPE,
        start_new_session=True,
    )
    try:
        yield worker
    finally:
        _end(worker)


def _end(worker: subprocess.Popen[bytes]) -> None:
    assert worker.stdin  # noqa: S101 - a pipe was asked for
    worker.stdin.close()
    try:
        worker.wait(3 * PATIENCE_S)
    except subprocess.TimeoutExpired:
        worker.kill()
        worker.wait()


def _end_with_parent() -> None:
    """End this process when its input closes: at leisure first, then in the midst of a job."""
    sys.stdin.buffer.read()
    for _ in range(2):
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(PATIENCE_S)


def main() -> None:
    """Take up tasks until the parent goes."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "weldlog.settings")
    django.setup()
    threading.Thread(target=_end_with_parent, daemon=True).start()
    call_command("db_worker", verbosity=0, reload=False, startup_delay=False)


if __name__ == "__main__":
    main()
