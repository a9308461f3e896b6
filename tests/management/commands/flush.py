"""``flush`` as the tests call it after each test that had transactions of its own."""

from typing import Any

from django.core.management.commands import flush
from django.db import connections

from tests.audit_guard import lifted


class Command(flush.Command):
    """Empty every table, the audit table as well, which the database refuses everybody else."""

    def handle(self, **options: Any) -> None:
        with lifted(connections[options["database"]]):
            super().handle(**options)
