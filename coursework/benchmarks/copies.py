"""Copies of a section's rows by bulk SQL, to fill a large database; PostgreSQL only."""

from collections.abc import Iterable
from typing import Final

from django.db import connection, models

from coursework.models import (
    Assessment,
    CheckResult,
    Coupon,
    CouponFacts,
    Enrolment,
    Finding,
    Grade,
    Imperfection,
    Section,
    SignOff,
    User,
)

COPIED: Final[tuple[type[models.Model], ...]] = (
    User,
    Section,
    Enrolment,
    Coupon,
    CouponFacts,
    Assessment,
    Finding,
    Imperfection,
    Grade,
    CheckResult,
    SignOff,
)
#: Columns that must differ from copy to copy, beside the numbers of rows.
UNIQUE: Final = {
    "user.username": "username || '-' || copy",
    "section.name": "name || '-' || copy",
    "section.join_code": "lpad(copy::text, 8, '0')",
    "coupon.public_id": "gen_random_uuid()",
}


def copy_section(copies: Iterable[int], spans: dict[str, int]) -> None:
    """Store copies of everything that was there first, each with its own numbers.

    Parameters
    ----------
    copies : iterable of int
        Their numbers, from 1 up; one that is there already must not come again.
    spans : dict of str to int
        How far the numbers of a table reach, by its name, before the first copy was made.
    """
    numbers = list(copies)
    with connection.cursor() as cursor:
        # The copies are whole by the way they are made; checking each key would take minutes.
        cursor.execute("SET session_replication_role = replica")
        for model in COPIED:
            cursor.execute(_statement(model, spans), [numbers])
        cursor.execute("SET session_replication_role = DEFAULT")
        cursor.execute("ANALYZE")


def spans() -> dict[str, int]:
    """Return the largest number of each table."""
    return {
        model._meta.db_table: model._default_manager.aggregate(most=models.Max("pk"))["most"] or 0
        for model in COPIED
    }


def _statement(model: type[models.Model], spans: dict[str, int]) -> str:
    columns = [str(field.column) for field in model._meta.concrete_fields]
    values = [_value(model, field, spans) for field in model._meta.concrete_fields]
    table = model._meta.db_table
    return (
        f'INSERT INTO {table} ("{'", "'.join(columns)}") '  # noqa: S608 -- names of our own models
        f"SELECT {', '.join(values)} FROM {table}, unnest(%s::int[]) AS copy "
        f"WHERE id <= {spans[table]}"
    )


def _value(
    model: type[models.Model], field: "models.Field[object, object]", spans: dict[str, int]
) -> str:
    own = UNIQUE.get(f"{model._meta.model_name}.{field.name}")
    if own:
        return own
    target = model if field.primary_key else field.related_model
    table = target._meta.db_table if isinstance(target, type) else ""
    step = f" + copy * {spans[table]}" if table in spans else ""
    return f'"{field.column}"{step}'
