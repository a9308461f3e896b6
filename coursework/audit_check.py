"""Walk the audit table and the issued records, and say in sentences what does not hold.

A row that was changed, taken out, put in between or put elsewhere breaks the chain behind it. Who
owns the database could write the whole chain anew, or take rows off its end: that shows only
against a head that was noted somewhere else.
"""

import itertools
import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db import connection

from coursework.audit_chain import BEFORE_THE_FIRST, hash_of
from coursework.models import Act, AuditRow, IssuedRecord, IssuedSectionRecord
from coursework.record import fingerprint

BATCH: Final = 1000
MASTERS: Final[tuple[Any, ...]] = (IssuedRecord, IssuedSectionRecord)
"""The models whose rows hold a ``master`` with its ``sha256`` and ``code``."""
MASTERS_AT_ONCE: Final = 50
ISSUES: Final = (Act.RECORD_ISSUED, Act.RECORD_TAKEN_OVER)

TRIGGERS: Final = {
    "postgresql": ("audit_never_changed",),
    "sqlite": ("audit_never_deleted", "audit_never_replaced", "audit_never_updated"),
}
THERE: Final = {
    "postgresql": """
        SELECT tgname FROM pg_trigger
        WHERE tgrelid = 'coursework_auditrow'::regclass AND NOT tgisinternal AND tgenabled <> 'D'
    """,
    "sqlite": """
        SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'coursework_auditrow'
    """,
}


@dataclass(frozen=True, slots=True)
class Head:
    """A head that was noted at some time: the hash of the last row, and its number if known."""

    hash: str
    number: int | None = None

    def is_row(self, number: int, row_hash: str) -> bool:
        """Return whether a row is the one that was noted."""
        return self.hash == row_hash and self.number in {None, number}


class Walk:
    """One walk along the table; its counts and its head are right once the faults are read."""

    def __init__(self, noted: Head | None = None) -> None:
        self.noted, self.noted_found = noted, False
        self.rows = self.records = self.gone = self.number = 0
        self.hash = BEFORE_THE_FIRST

    def faults(self) -> Iterator[str]:
        """Yield a sentence for each thing that does not hold; no more than a batch is in memory."""
        yield from _missing_guards()
        for row in _all_rows():
            yield from self._row_faults(row)
        if self.noted and not self.noted_found:
            yield _noted_is_gone(self.noted)
        for model in MASTERS:
            yield from self._record_faults(model)

    def _row_faults(self, row: AuditRow) -> Iterator[str]:
        if row.number != self.number + 1:
            yield f"Row {row.number} follows row {self.number}: {_between(self.number, row.number)}"
        elif row.previous_hash != self.hash:
            yield f"Row {row.number} does not hold the hash of row {self.number} before it."
        own = _own_hash(row)
        if own != row.hash:
            yield f"Row {row.number} was changed: its hash is not that of what it says."
        if self.noted and self.noted.is_row(row.number, own):
            self.noted_found = True
        self.rows, self.number, self.hash = self.rows + 1, row.number, row.hash

    def _record_faults(self, model: Any) -> Iterator[str]:
        kind = model._meta.model_name
        records = model.objects.order_by("pk").only("code", "master", "sha256")
        for batch in itertools.batched(records.iterator(MASTERS_AT_ONCE), MASTERS_AT_ONCE):
            written = _written_at_issue(kind, [str(each.pk) for each in batch])
            for each in batch:
                yield from _one_record(each, written[str(each.pk)])
            self.records += len(batch)
        told = AuditRow.objects.filter(act__in=ISSUES, about_kind=kind).values("about_key")
        self.gone += max(0, told.distinct().count() - model.objects.count())


def _all_rows() -> Iterator[AuditRow]:
    """Yield every row in order, a batch a query: no long read holds anybody up."""
    last = 0
    while rows := list(AuditRow.objects.filter(number__gt=last).order_by("number")[:BATCH]):
        yield from rows
        last = rows[-1].number


def _own_hash(row: AuditRow) -> str:
    """Return the hash that a row should have; none where its moment cannot be read any more."""
    moment: datetime | None = row.at
    return hash_of(row) if moment else ""


def _missing_guards() -> Iterator[str]:
    with connection.cursor() as cursor:
        cursor.execute(THERE[connection.vendor])
        there = {name for (name,) in cursor.fetchall()}
    for name in TRIGGERS[connection.vendor]:
        if name not in there:
            yield f"The database does not guard the audit table: its trigger {name} is missing."


def _between(before: int, after: int) -> str:
    if before + 2 == after:
        return f"row {before + 1} is missing."
    return f"rows {before + 1} to {after - 1} are missing."


def _noted_is_gone(noted: Head) -> str:
    where = f"Row {noted.number} does not have" if noted.number else "No row has"
    return f"{where} the hash that was noted ({noted.hash}): rows were removed or written anew."


def _written_at_issue(kind: str, keys: list[str]) -> dict[str, list[tuple[int, str]]]:
    """Return number and fingerprint of the rows that tell of the issue of these records, by key."""
    found: dict[str, list[tuple[int, str]]] = defaultdict(list)
    rows = AuditRow.objects.filter(act__in=ISSUES, about_kind=kind, about_key__in=keys)
    for row in rows.order_by("number"):
        found[row.about_key].append((row.number, _sha256_in(row.after)))
    return found


def _sha256_in(text: str) -> str:
    try:
        return str(json.loads(text)["sha256"])
    except (ValueError, TypeError, KeyError):
        return ""


def _one_record(record: Any, written: list[tuple[int, str]]) -> Iterator[str]:
    name = f"{str(record._meta.verbose_name).capitalize()} {record.code} (row {record.pk})"
    if fingerprint(record.master) != record.sha256:
        yield f"{name} was changed: its master does not have the fingerprint stored beside it."
    if not written:
        yield f"{name} was not issued by weldlog: no audit row tells of it."
    for number, then in written:
        if then != record.sha256:
            yield f"{name} was changed: audit row {number} tells of another fingerprint."
