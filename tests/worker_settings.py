"""The settings of a worker that the tests start: production's, and a kind of file that waits."""

from weldlog.settings import *  # noqa: F403

INSTALLED_APPS += ["tests.worker_app.WorkerApp"]  # noqa: F405
