"""`manage.py review FILE|-`: the review of one coupon or an array of them, as JSON."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand, CommandError

from weldlog.engine import facts
from weldlog.engine.reading import Unreadable
from weldlog.engine.review import review
from weldlog.engine.school import DEFAULT, SchoolRules, read_rules


class Command(BaseCommand):
    """Print what the engine says about coupons. Needs no database."""

    help = "Review one coupon, or an array of them, and print the reviews as JSON."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file and the rules of a school."""
        parser.add_argument("file", metavar="FILE", help="JSON file, or - for standard input")
        parser.add_argument("--rules", metavar="RULES.json", help="what the school has set")

    def handle(self, *_: Any, file: str, rules: str | None = None, **_options: Any) -> None:
        """Print one review for one coupon, an array for an array."""
        try:
            school = read_rules(read_json(rules)) if rules else DEFAULT
            found = reviews(read_json(file), school)
        except Unreadable as problem:
            raise CommandError(f"review: {problem}", returncode=2) from None
        self.stdout.write(json.dumps(found, indent=1, allow_nan=False))


def reviews(document: object, school: SchoolRules) -> object:
    """Return the review of a coupon, or those of an array of coupons in the same order."""
    if not isinstance(document, list):
        return review(facts.read(document), school).as_json()
    found = []
    for place, each in enumerate(document):
        try:
            found.append(review(facts.read(each), school).as_json())
        except Unreadable as problem:
            raise Unreadable(f"[{place}] {problem}") from None
    return found


def read_json(name: str) -> object:
    """Return the JSON value in a file, or on standard input for ``-``.

    Raises
    ------
    Unreadable
        When there is no such file, or it does not hold strict JSON in UTF-8.
    """
    where = "standard input" if name == "-" else name
    try:
        text = _bytes(name).decode("utf-8-sig")
        return json.loads(text, object_pairs_hook=_members, parse_constant=_not_a_number)
    except Unreadable as problem:
        raise Unreadable(f"{where}: {problem}") from None
    except UnicodeDecodeError:
        raise Unreadable(f"{where}: this is not text in UTF-8.") from None
    except json.JSONDecodeError as problem:
        place = f"line {problem.lineno}, column {problem.colno}"
        raise Unreadable(f"{where}: this is not JSON ({problem.msg}, {place}).") from None
    except RecursionError:
        raise Unreadable(f"{where}: the lists and objects are nested too deep.") from None
    except OSError as problem:
        raise Unreadable(f"{where}: {problem.strerror or 'cannot be read'}.") from None
    except ValueError:
        # Python reads no whole number of more digits than this.
        digits = sys.get_int_max_str_digits()
        raise Unreadable(
            f"{where}: a number in it is too long; write it with at most {digits} digits."
        ) from None


def _bytes(name: str) -> bytes:
    if "\0" in name:
        raise Unreadable("this is not the name of a file.")
    return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()


def _members(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return the object, and refuse a name that stands in it twice."""
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise Unreadable(f"{twice}: this member stands there twice.")
    return found


def _not_a_number(name: str) -> NoReturn:
    raise Unreadable(f"{name} is not a number; leave out what is not known.")
