"""``manage.py recheck``: assess stored coupons again by the edition that is installed now."""

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from coursework.assess import school_rules
from coursework.bar import Bar
from coursework.models import School
from coursework.recheck import outdated, recheck
from weldlog.engine.review import EDITION


class Command(BaseCommand):
    """Assess again what was assessed by other rules; the old findings stay."""

    help = "Assesses stored coupons again by today's rules; stop it at any time and start it again."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whether graded coupons are among them."""
        parser.add_argument(
            "--graded",
            action="store_true",
            help="also those that are graded; without it a graded coupon keeps its findings",
        )

    def handle(self, *_: Any, graded: bool, **_options: Any) -> None:
        """Show a bar for each school, and say at the end what changed."""
        for school in School.objects.select_related("settings").order_by("pk"):
            self._school(school, graded=graded)

    def _school(self, school: School, *, graded: bool) -> None:
        rules = school_rules(school.settings)
        total = outdated(school, rules, graded=graded).count()
        bar = Bar(sys.stderr, str(school), total) if total else None
        coupons = changed = 0
        problems: list[str] = []
        try:
            for done in recheck(school, timezone.now(), graded=graded):
                coupons, changed = coupons + done.coupons, changed + done.changed
                problems += done.unreadable
                if bar:
                    bar.step(done.coupons + len(done.unreadable))
        except KeyboardInterrupt:
            self.stdout.write(f"\nStopped after {coupons} of {total}; start it again to go on.")
            return
        self.stdout.write(
            f"{school}: {counted(coupons)} assessed by edition {EDITION}, {changed} with other"
            f" findings than before."
        )
        left = outdated(school, rules, graded=True).count() - len(problems)
        if left:
            self.stdout.write(
                f"  Left as their graders saw them: {counted(left)}; --graded assesses graded"
                " coupons too."
            )
        for problem in problems:
            self.stdout.write(f"  Not assessed, its old findings stay: {problem}")


def counted(coupons: int) -> str:
    """Return how many coupons there are, in words."""
    return "1 coupon" if coupons == 1 else f"{coupons} coupons"
