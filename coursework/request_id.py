"""The id of the request that is being answered, for the audit table and for whoever looks it up."""

import re
import uuid
from contextvars import ContextVar
from typing import Final

current: Final[ContextVar[str]] = ContextVar("request_id", default="")
SAFE: Final = re.compile(r"[A-Za-z0-9_-]{8,64}")


def from_header(text: str) -> str:
    """Return the id that a proxy gave where it has a safe shape, else a new one.

    >>> from_header("20261125-shop-0001")
    '20261125-shop-0001'
    >>> len(from_header("<script>"))
    32
    """
    return text if SAFE.fullmatch(text) else uuid.uuid4().hex
