"""Whether a print is of a record that was issued here, for who has no account.

A code alone tells nothing: the fingerprint, or the first symbols of it, must be known too. An
unknown code and a wrong fingerprint get one and the same answer.
"""

import hmac
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from django.http import HttpRequest
from django.urls import reverse

from coursework import access, issuing, tries
from coursework.issuing import AnyIssued, Standing
from coursework.joining import TRIES_A_PERSON, TRIES_AN_ADDRESS, bare_code, spaced_code
from coursework.models import IssuedRecord, IssuedSectionRecord, School, Section

FEWEST_SYMBOLS: Final = 8
CARRIED_SYMBOLS: Final = 16


class TooManyTries(Exception):
    """So many prints were not known here that no further one is looked up for a while."""


@dataclass(frozen=True, slots=True)
class Print:
    """What may be said of a print to anybody: no name, no result.

    ``standing`` says whether it is current, superseded or withdrawn; ``untouched`` is false where
    the stored master no longer matches the fingerprint.
    """

    code: str
    issue: int
    of_section: bool
    school: School
    zone: ZoneInfo
    issued_at: datetime
    standing: Standing
    untouched: bool


def check_path(record: AnyIssued) -> str:
    """Return the short path that a print carries, with code and beginning of the fingerprint."""
    return reverse("coursework:record_print", args=[record.code, record.sha256[:CARRIED_SYMBOLS]])


def check_address(request: HttpRequest, record: AnyIssued) -> str:
    """Return the whole address for the QR code of a print."""
    return request.build_absolute_uri(check_path(record))


def bare_fingerprint(text: str) -> str:
    """Return a fingerprint, or its first symbols, without spaces and in small letters.

    >>> bare_fingerprint(" 9F86 d081 ")
    '9f86d081'
    """
    return "".join(text.split()).lower()


def look_up(request: HttpRequest, code: str, fingerprint: str) -> Print | None:
    """Return what goes by a code and the beginning of its fingerprint; a wrong pair is counted.

    Parameters
    ----------
    request : HttpRequest
        Who asks; nobody need be signed in.
    code : str
        As it is printed, or without its hyphen.
    fingerprint : str
        The first symbols of the SHA-256, at least eight of them.

    Raises
    ------
    TooManyTries
        After ten wrong pairs of one person, or three hundred of one address, within an hour.
    """
    counters = tries.counters(
        request, "print", a_person=TRIES_A_PERSON, an_address=TRIES_AN_ADDRESS
    )
    if tries.used_up(counters):
        raise TooManyTries
    record = access.issued_by_code(spaced_code(bare_code(code)))
    if record and _matches(record, bare_fingerprint(fingerprint)):
        return _print(record)
    tries.count(counters)
    return None


def _matches(record: AnyIssued, beginning: str) -> bool:
    if len(beginning) < FEWEST_SYMBOLS or not beginning.isascii():
        return False
    return hmac.compare_digest(record.sha256[: len(beginning)], beginning)


def _section(record: AnyIssued) -> Section:
    return record.enrolment.section if isinstance(record, IssuedRecord) else record.section


def _print(record: AnyIssued) -> Print:
    school = _section(record).term.school
    return Print(
        code=record.code,
        issue=record.issue,
        of_section=isinstance(record, IssuedSectionRecord),
        school=school,
        zone=school.settings.zone,
        issued_at=record.issued_at,
        standing=issuing.standing_of(record),
        untouched=issuing.is_untouched(record),
    )
