"""``manage.py bench WHAT``: what a piece of the work costs, beside a floor of the same run."""

from collections.abc import Callable, Iterator
from typing import Any, Final

from django.core.management.base import BaseCommand, CommandError, CommandParser

from coursework.benchmarks import engine, pages, record
from coursework.benchmarks.section_rows import Size

BENCHMARKS: Final[dict[str, Callable[[int | None, int], Iterator[str]]]] = {
    "engine": lambda number, _each: engine.report(number or 100_000),
    "pages": pages.report,
    "record": lambda _number, _each: record.report(),
}


class Command(BaseCommand):
    """Measure one piece of the work and print the numbers. What is stored is left alone."""

    help = "Measures one piece of the work and prints it as a multiple of a floor."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """Take what to measure and how much of it."""
        parser.add_argument(
            "what",
            choices=BENCHMARKS,
            help="engine: reviews of coupons; pages: the section page; record: the PDFs of a "
            "section's records",
        )
        parser.add_argument(
            "--coupons",
            type=int,
            help="engine: how many are generated (100000); pages: how many the database is filled "
            "with, on PostgreSQL (those of one section)",
        )
        parser.add_argument(
            "--each",
            type=int,
            default=Size.coupons,
            help="pages: how many coupons each student has (%(default)s)",
        )

    def handle(self, *_: Any, what: str, coupons: int | None, each: int, **_options: Any) -> None:
        """Print the report line by line, as it is measured."""
        for name, number in (("--coupons", coupons), ("--each", each)):
            if number is not None and number < 1:
                raise CommandError(f"bench: {name} takes 1 or more.", returncode=2)
        try:
            for line in BENCHMARKS[what](coupons, each):
                self.stdout.write(line)
                self.stdout.flush()
        except RuntimeError as refusal:
            raise CommandError(str(refusal), returncode=1) from refusal
