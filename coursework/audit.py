"""Write into the audit table, in the transaction of the change that it tells of.

Call :func:`record_act` as the last thing of a state change: from then until the transaction ends
no other change can write its row, so that the chain never forks.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import singledispatch
from typing import Any, Final

from django.core.serializers.json import DjangoJSONEncoder
from django.db import connection, models
from django.db.transaction import TransactionManagementError
from django.utils import timezone

from coursework import request_id
from coursework.audit_chain import BEFORE_THE_FIRST, hash_of
from coursework.models import (
    AuditRow,
    Coupon,
    IssuedRecord,
    IssuedSectionRecord,
    School,
    SignOff,
    User,
)

type Members = Mapping[str, Any]

CHAIN_LOCK: Final = 0x77656C64
"""The number of the advisory lock on PostgreSQL; any, as long as nothing else takes it."""
TO_SCHOOL: Final = ("term", "section", "enrolment", "plan", "rubric", "user", "coupon")


@dataclass(frozen=True, slots=True)
class About:
    """What an act is about: kind of row, its key, and a name that a person recognizes."""

    kind: str
    key: str
    name: str
    school_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One act about one thing, not yet written."""

    about: models.Model | About
    before: Members | None = None
    after: Members | None = None
    reason: str = ""


def record_act(
    actor: User | None,
    act: str,
    about: models.Model | About,
    *,
    before: Members | None = None,
    after: Members | None = None,
    reason: str = "",
) -> AuditRow:
    """Write down what somebody did, in the same transaction as the change.

    Parameters
    ----------
    actor : User or None
        Who did it; None where weldlog did it by itself.
    act : str
        One of ``Act``.
    about : Model or About
        The stored row that it is about; an :class:`About` where the row is gone by now.
    before, after : mapping or None
        The members that changed. Members that are alike in both are left out.

    Raises
    ------
    TransactionManagementError
        Outside a transaction: change and row are stored together or not at all.
    """
    entry = Entry(about=about, before=before, after=after, reason=reason)
    (row,) = record_acts(actor, act, [entry])
    return row


def record_change(
    actor: User | None, act: str, about: models.Model | About, *, before: Members, after: Members
) -> AuditRow | None:
    """Write down a change of members, where there is one; see :func:`record_act`."""
    if before == after:
        return None
    return record_act(actor, act, about, before=before, after=after)


def record_acts(actor: User | None, act: str, entries: Sequence[Entry]) -> list[AuditRow]:
    """Write down the same act about many things with one insert; see :func:`record_act`."""
    if not entries:
        return []
    if not connection.in_atomic_block:
        raise TransactionManagementError("An act is recorded in the transaction of its change.")
    _lock_chain()
    number, last_hash = _head()
    rows, at = [], timezone.now()
    for each in entries:
        row = _row(actor, act, each)
        number += 1
        row.number, row.at, row.previous_hash = number, at, last_hash
        row.hash = last_hash = hash_of(row)
        rows.append(row)
    return AuditRow.objects.bulk_create(rows)


def about(row: models.Model) -> About:
    """Return what an act about this row is about, as the row is called now."""
    return About(row._meta.model_name or "", str(row.pk), plain_name(row))


@singledispatch
def plain_name(row: models.Model) -> str:
    """Return what people call a row."""
    return str(row)


@plain_name.register
def _(row: Coupon) -> str:
    return f"{row} of {row.enrolment.user}, {row.exercise.title}"


@plain_name.register
def _(row: IssuedRecord) -> str:
    return f"{row} of {row.enrolment.user}"


@plain_name.register
def _(row: IssuedSectionRecord) -> str:
    return f"{row} of {row.section}"


@plain_name.register
def _(row: SignOff) -> str:
    return f"{row.exercise.title} of {row.enrolment.user}"


def _row(actor: User | None, act: str, entry: Entry) -> AuditRow:
    thing = entry.about if isinstance(entry.about, About) else about(entry.about)
    return AuditRow(
        school_id=(actor.school_id if actor else None) or _school_of(entry.about),
        actor=actor,
        actor_name=str(actor or ""),
        act=str(act),
        about_kind=thing.kind,
        about_key=thing.key,
        about_name=thing.name,
        before=_text(entry.before, entry.after),
        after=_text(entry.after, entry.before),
        reason=entry.reason,
        request_id=request_id.current.get(),
    )


def _text(members: Members | None, others: Members | None) -> str:
    """Return the members that the others do not have alike, as the JSON that is stored."""
    if members is None:
        return ""
    differing = {
        name: value
        for name, value in members.items()
        if others is None or name not in others or others[name] != value
    }
    return json.dumps(differing, cls=DjangoJSONEncoder, ensure_ascii=False, sort_keys=True)


def _school_of(thing: Any) -> int | None:
    """Return the school that a row hangs from, along whatever leads to it."""
    if isinstance(thing, School):
        return thing.pk
    if hasattr(thing, "school_id"):
        return thing.school_id  # type: ignore[no-any-return]
    for name in TO_SCHOOL:
        if hasattr(thing, name):
            return _school_of(getattr(thing, name))
    return None


def _lock_chain() -> None:
    """Let nobody else write into the table until the transaction ends.

    On SQLite a transaction is the only writer from its start (see ``surroundings.sqlite``).
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [CHAIN_LOCK])


def _head() -> tuple[int, str]:
    """Return number and hash of the last row, as they are now that the chain is locked."""
    last = AuditRow.objects.order_by("-number").values_list("number", "hash").first()
    return last or (0, BEFORE_THE_FIRST)
