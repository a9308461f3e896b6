"""`manage.py review FILE|-`: reviews of coupons, as JSON.

One coupon gives one review, an array an array, and one coupon a line one review a line.
"""

import gc
import json
import os
import sys
from argparse import ArgumentParser
from collections.abc import Iterable, Iterator
from itertools import batched, chain
from pathlib import Path
from typing import Any, BinaryIO, Final, NoReturn

from django.core.management.base import BaseCommand, CommandError

from weldlog.engine import facts, review
from weldlog.engine.facts import Facts
from weldlog.engine.reading import Unreadable
from weldlog.engine.school import DEFAULT, SchoolRules, read_rules

COMPACT: Final = json.JSONEncoder(allow_nan=False)
FOR_READING: Final = json.JSONEncoder(allow_nan=False, indent=1)

AT_ONCE: Final = 100
"""Coupons that are read, reviewed and written together while they stream through."""
LOOK_FOR_CIRCLES_AFTER: Final = 50_000
"""Objects after which Python looks for circles of them while coupons stream through."""

type Numbered = tuple[int, bytes]


class Command(BaseCommand):
    """Print what the engine says about coupons. Needs no database."""

    help = "Review one coupon, an array of them, or one a line, and print the reviews as JSON."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file and the rules of a school."""
        parser.add_argument("file", metavar="FILE", help="JSON file, or - for standard input")
        parser.add_argument("--rules", metavar="RULES.json", help="what the school has set")

    def handle(self, *_: Any, file: str, rules: str | None = None, **_options: Any) -> None:
        """Print one review for one coupon, an array for an array, a line for a line."""
        try:
            school = read_rules(read_json(rules)) if rules else DEFAULT
            for text in reviews(file, school):
                self.stdout.write(text)
        except Unreadable as problem:
            raise CommandError(f"review: {problem}", returncode=2) from None
        except BrokenPipeError:
            # Whoever read along has seen enough; Python would complain once more as it ends.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def reviews(name: str, school: SchoolRules) -> Iterator[str]:
    """Yield what is printed for the coupons in a file, or on standard input for ``-``.

    A file whose first line is an object and that goes on after it holds one coupon a line; such a
    file is read and answered line by line, however long it is.

    Raises
    ------
    Unreadable
        When there is no such file, or it does not hold coupons in strict JSON in UTF-8. Lines
        that came before the one that cannot be read have been answered by then.
    """
    where = _where(name)
    try:
        with _opened(name) as stream:
            lines = enumerate(stream, 1)
            head = _up_to_the_second(lines)
            written = [line for _, line in head if line.strip()]
            if len(written) == 2 and _is_coupon(written[0]):
                yield from _line_by_line(chain(head, lines), school)
            else:
                whole = b"".join(line for _, line in chain(head, lines))
                yield _of_document(parsed(whole), school)
    except Unreadable as problem:
        raise Unreadable(f"{where}: {problem}") from None
    except OSError as problem:
        raise Unreadable(f"{where}: {problem.strerror or 'cannot be read'}.") from None


def _up_to_the_second(lines: Iterator[Numbered]) -> list[Numbered]:
    """Take lines up to the second one that is not blank."""
    head: list[Numbered] = []
    written = 0
    while written < 2 and (line := next(lines, None)):
        head.append(line)
        written += bool(line[1].strip())
    return head


def _is_coupon(line: bytes) -> bool:
    """Return whether a line is a whole object, so that the next line is a further one."""
    try:
        return isinstance(parsed(line), dict)
    except Unreadable:
        return False


def _line_by_line(lines: Iterable[Numbered], school: SchoolRules) -> Iterator[str]:
    # A review holds no circles: looking for some after every few objects finds none.
    gc.set_threshold(LOOK_FOR_CIRCLES_AFTER)
    for some in batched((each for each in lines if each[1].strip()), AT_ONCE):
        coupons, problem = _readable(some)
        for each in review.reviews(coupons, school):
            yield COMPACT.encode(each.as_json())
        if problem:
            raise problem


def _readable(lines: Iterable[Numbered]) -> tuple[list[Facts], Unreadable | None]:
    """Return the coupons up to the first line that cannot be read, and what is wrong with it."""
    found: list[Facts] = []
    for number, line in lines:
        try:
            found.append(facts.read(parsed(line)))
        except Unreadable as problem:
            return found, Unreadable(f"line {number}: {problem}")
    return found, None


def _of_document(document: object, school: SchoolRules) -> str:
    """Return the review of a coupon, or those of an array of coupons in the same order."""
    if not isinstance(document, list):
        return FOR_READING.encode(review.review(facts.read(document), school).as_json())
    coupons = []
    for place, each in enumerate(document):
        try:
            coupons.append(facts.read(each))
        except Unreadable as problem:
            raise Unreadable(f"[{place}] {problem}") from None
    found = [COMPACT.encode(each.as_json()) for each in review.reviews(coupons, school)]
    return "[\n" + ",\n".join(found) + "\n]"


def read_json(name: str) -> object:
    """Return the JSON value in a file, or on standard input for ``-``.

    Raises
    ------
    Unreadable
        When there is no such file, or it does not hold strict JSON in UTF-8.
    """
    try:
        with _opened(name) as stream:
            return parsed(stream.read())
    except Unreadable as problem:
        raise Unreadable(f"{_where(name)}: {problem}") from None
    except OSError as problem:
        raise Unreadable(f"{_where(name)}: {problem.strerror or 'cannot be read'}.") from None


def _where(name: str) -> str:
    return "standard input" if name == "-" else name


def _opened(name: str) -> BinaryIO:
    if "\0" in name:
        raise Unreadable("this is not the name of a file.")
    return sys.stdin.buffer if name == "-" else Path(name).open("rb")


def parsed(content: bytes) -> object:
    """Return the JSON value that some bytes hold.

    Raises
    ------
    Unreadable
        When they are not strict JSON in UTF-8; the message is one line.
    """
    try:
        text = content.decode("utf-8-sig")
        return json.loads(text, object_pairs_hook=_members, parse_constant=_not_a_number)
    except UnicodeDecodeError:
        raise Unreadable("this is not text in UTF-8.") from None
    except json.JSONDecodeError as problem:
        place = f"line {problem.lineno}, column {problem.colno}"
        raise Unreadable(f"this is not JSON ({problem.msg}, {place}).") from None
    except RecursionError:
        raise Unreadable("the lists and objects are nested too deep.") from None
    except Unreadable:
        raise
    except ValueError:
        # Python reads no whole number of more digits than this.
        digits = sys.get_int_max_str_digits()
        raise Unreadable(
            f"a number in it is too long; write it with at most {digits} digits."
        ) from None


def _members(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return the object, and refuse a name that stands in it twice."""
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise Unreadable(f"{twice[:60]}: this member stands there twice.")
    return found


def _not_a_number(name: str) -> NoReturn:
    raise Unreadable(f"{name} is not a number; leave out what is not known.")
