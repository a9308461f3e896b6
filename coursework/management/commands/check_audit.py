"""``manage.py check_audit``: whether the audit table and the issued records are as they were."""

import re
from argparse import ArgumentParser, ArgumentTypeError
from typing import Any, Final

from django.core.management.base import BaseCommand, CommandError

from coursework.audit_check import Head, Walk

HEAD: Final = re.compile(r"(?:([1-9][0-9]{0,17}):)?([0-9a-f]{64})")


def a_head(text: str) -> Head:
    """Read a head as this command prints it, with or without its number."""
    found = HEAD.fullmatch(text)
    if not found:
        raise ArgumentTypeError(
            f"{text!r} is not a head: 64 digits and letters a to f, as in 12:8f43…"
        )
    return Head(found[2], int(found[1]) if found[1] else None)


class Command(BaseCommand):
    """Walk every row; print a sentence for each fault, or how many rows hold and the head."""

    help = "Walks the audit table and the issued records, and says what was changed in them."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a head that was noted at some time."""
        parser.add_argument(
            "--head",
            type=a_head,
            metavar="NUMBER:HASH",
            help="a head noted elsewhere, so that rows missing at the end are noticed as well",
        )

    def handle(self, *_: Any, head: Head | None, **_options: Any) -> None:
        """Print as it goes; end with exit code 1 where anything does not hold."""
        walk, faults = Walk(head), 0
        for faults, sentence in enumerate(walk.faults(), start=1):  # noqa: B007 - the last counts
            self.stdout.write(sentence)
        counted = (
            f"{number_of(walk.rows, 'audit row')} and {number_of(walk.records, 'issued record')}"
        )
        if faults:
            raise CommandError(f"{number_of(faults, 'fault')} in {counted}.", returncode=1)
        self.stdout.write(f"{counted} are as they were written. Head: {walk.number}:{walk.hash}")
        if walk.gone:
            self.stdout.write(
                f"Issued, and no longer stored: {number_of(walk.gone, 'record')}. "
                "Rows of purges say how many they removed."
            )


def number_of(number: int, word: str) -> str:
    """Return how many there are, in words.

    >>> number_of(1, "fault"), number_of(0, "fault")
    ('1 fault', '0 faults')
    """
    return f"{number} {word}{'' if number == 1 else 's'}"
