"""What the worker of the tests has beside production's: a kind of file that waits half way."""

from django.apps import AppConfig


class WorkerApp(AppConfig):
    """Puts the slow kind beside the others."""

    name = "tests.worker_app"

    def ready(self) -> None:
        """Wait for the models, which the kind names."""
        from coursework.export_kinds import KINDS
        from tests.slow_kind import slow

        KINDS["slow"] = slow()
