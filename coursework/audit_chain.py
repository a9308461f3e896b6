"""How rows of the audit table are chained: the text of a row, and its hash.

Neither may ever change: every stored hash would be wrong. ``test_audit.py`` holds one of each.
"""

import hashlib
import json
from datetime import UTC, datetime
from typing import Final, Protocol

BEFORE_THE_FIRST: Final = "0" * 64


class Chained(Protocol):
    """What a row of the audit table consists of; a row of a migration's model has it too."""

    number: int
    at: datetime
    school_id: int | None
    actor_id: int | None
    actor_name: str
    act: str
    about_kind: str
    about_key: str
    about_name: str
    before: str
    after: str
    reason: str
    request_id: str
    previous_hash: str


def canonical(row: Chained) -> str:
    """Return a row as one text: JSON without spaces, members in this order, UTC, microseconds."""
    members = {
        "number": row.number,
        "at": row.at.astimezone(UTC).isoformat(timespec="microseconds"),
        "school": row.school_id,
        "actor": row.actor_id,
        "actor_name": row.actor_name,
        "act": row.act,
        "about_kind": row.about_kind,
        "about_key": row.about_key,
        "about_name": row.about_name,
        "before": row.before,
        "after": row.after,
        "reason": row.reason,
        "request_id": row.request_id,
        "previous_hash": row.previous_hash,
    }
    return json.dumps(members, ensure_ascii=False, separators=(",", ":"))


def hash_of(row: Chained) -> str:
    """Return the SHA-256 of a row's canonical text, which holds the hash of the row before."""
    return hashlib.sha256(canonical(row).encode()).hexdigest()
