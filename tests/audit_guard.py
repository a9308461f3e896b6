"""Lift what keeps the audit table from changes, as somebody could who owns the database."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper

TABLE = "coursework_auditrow"


@contextmanager
def lifted(database: BaseDatabaseWrapper = connection) -> Iterator[None]:
    """Let the audit table be changed inside this block; afterwards it is guarded as before."""
    lift, put_back = (_postgresql if database.vendor == "postgresql" else _sqlite)(database)
    _run(database, lift)
    try:
        yield
    finally:
        _run(database, put_back)


def _postgresql(_database: BaseDatabaseWrapper) -> tuple[list[str], list[str]]:
    # PostgreSQL alters no table for which a constraint is still to be checked.
    checked = ["SET CONSTRAINTS ALL IMMEDIATE", "SET CONSTRAINTS ALL DEFERRED"]
    lift = f"ALTER TABLE IF EXISTS {TABLE} DISABLE TRIGGER USER"
    return [*checked, lift], [*checked, lift.replace("DISABLE", "ENABLE")]


def _sqlite(database: BaseDatabaseWrapper) -> tuple[list[str], list[str]]:
    with database.cursor() as cursor:
        cursor.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s", [TABLE]
        )
        triggers = cursor.fetchall()
    return [f"DROP TRIGGER {name}" for name, _sql in triggers], [sql for _name, sql in triggers]


def _run(database: BaseDatabaseWrapper, statements: list[str]) -> None:
    with database.cursor() as cursor:
        for each in statements:
            cursor.execute(each)
