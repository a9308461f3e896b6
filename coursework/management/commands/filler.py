"""`manage.py filler ALLOY [ALLOY]`: which fillers suit the metal, as JSON."""

import json
from argparse import ArgumentParser
from typing import Any, NoReturn, get_args

from django.core.management.base import BaseCommand, CommandError, CommandParser

from weldlog.engine.facts import Joint, Process, Weld
from weldlog.engine.filler_choice import choose

LONGEST_DESIGNATION = 64


class OneLineParser(CommandParser):
    """A parser whose complaint is one line, without the usage above it."""

    def error(self, message: str) -> NoReturn:
        """Leave with status 2 and the message alone; called from Python, raise as Django does."""
        if self.called_from_command_line:
            self.exit(2, f"filler: {message}.\n")
        raise CommandError(f"filler: {message}.", returncode=2)


class Command(BaseCommand):
    """Print every filler for one or two alloys, best first."""

    help = "Print every filler for one or two base alloys, best first, with reasons, as JSON."
    requires_system_checks: list[str] = []

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        """Return a parser that complains in one line."""
        parser = super().create_parser(prog_name, subcommand, **kwargs)
        parser.__class__ = OneLineParser
        return parser

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take one or two alloys and what the part is for."""
        parser.add_argument("alloys", nargs="+", metavar="ALLOY", help="such as 6061 or A356.0")
        parser.add_argument("--above-65-c", action="store_true", help="serves above 65 °C")
        parser.add_argument("--anodised-after", action="store_true", help="is anodized afterwards")
        parser.add_argument(
            "--heat-treated-after", action="store_true", help="is solution treated afterwards"
        )
        parser.add_argument("--process", choices=get_args(Process), default="GTAW")
        parser.add_argument("--joint", choices=get_args(Joint), help="matters for edge and corner")
        parser.add_argument(
            "--weld",
            choices=get_args(Weld),
            help="says how much base metal melts; a fillet where neither it nor a joint is given",
        )

    def handle(self, *_: Any, alloys: list[str], **options: Any) -> None:
        """Print the choice."""
        _refuse_bad(alloys)
        choice = choose(
            *alloys,
            above_65_c=options["above_65_c"],
            anodised_after=options["anodised_after"],
            heat_treated_after=options["heat_treated_after"],
            process=options["process"],
            joint=options["joint"],
            weld=options["weld"] or (None if options["joint"] else "fillet"),
        )
        self.stdout.write(json.dumps(choice.as_json(), indent=1))


def _refuse_bad(alloys: list[str]) -> None:
    if len(alloys) > 2:
        raise CommandError(
            f"filler: give one alloy, or two for unlike sides, not {len(alloys)}.", returncode=2
        )
    for alloy in alloys:
        if not alloy.strip() or len(alloy) > LONGEST_DESIGNATION or not alloy.isprintable():
            raise CommandError(
                "filler: an alloy is a short designation such as 6061 or A356.0.", returncode=2
            )
