"""``manage.py bench WHAT``: what a piece of the work costs, beside a floor of the same run."""

from collections.abc import Callable, Iterator
from typing import Any, Final

from django.core.management.base import BaseCommand, CommandError, CommandParser

from coursework.benchmarks import engine

BENCHMARKS: Final[dict[str, Callable[[int], Iterator[str]]]] = {"engine": engine.report}


class Command(BaseCommand):
    """Measure one piece of the work and print the numbers. Needs no database."""

    help = "Measures one piece of the work and prints it as a multiple of a floor."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """Take what to measure and how much of it."""
        parser.add_argument("what", choices=BENCHMARKS, help="engine: reviews of coupons")
        parser.add_argument(
            "--coupons", type=int, default=100_000, help="how many are generated (100000)"
        )

    def handle(self, *_: Any, what: str, coupons: int, **_options: Any) -> None:
        """Print the report line by line, as it is measured."""
        if coupons < 1:
            raise CommandError("bench: --coupons takes 1 or more.", returncode=2)
        for line in BENCHMARKS[what](coupons):
            self.stdout.write(line)
            self.stdout.flush()
