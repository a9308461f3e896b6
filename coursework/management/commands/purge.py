"""``manage.py purge``: remove what is past its time, after saying what and asking."""

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from coursework import purge_plan, purging
from coursework.bar import Bar
from coursework.models import Purge, School, User
from coursework.retention import WORDS, Kind


class Command(BaseCommand):
    """Say what would be removed and what is held, ask, remove it in batches."""

    help = (
        "Removes photos, coupons, records and codes that are past their time, after saying which"
        " and asking; stop it at any time and start it again."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whose name the purge is logged under."""
        parser.add_argument(
            "--by",
            required=True,
            metavar="NAME",
            help="user name of the coordinator who answers for it; the school is that person's",
        )

    def handle(self, *_: Any, by: str, **_options: Any) -> None:
        """Show the plan, take the typed confirmation, remove."""
        user = self._coordinator(by)
        school = School.objects.select_related("settings").get(people=user)
        self._end_unfinished(school, user)
        plan = purge_plan.plan(school, timezone.now())
        self._show(school, plan)
        if not plan.total:
            return
        if self._asked(f"Type “{plan.phrase}” to remove them: ") != plan.phrase:
            self.stdout.write("Nothing was removed.")
            return
        now = timezone.now()
        shown, plan = plan.fingerprint, purge_plan.plan(school, now)
        try:
            purging.need_as_shown(plan, shown)
            self._run(purging.start(school, plan, by=user, at=now), user)
        except purging.NotAsShown as reason:
            raise CommandError(str(reason)) from reason

    def _coordinator(self, name: str) -> User:
        found = User.objects.filter(
            username__iexact=name, role=User.Role.COORDINATOR, is_active=True
        ).first()
        if found is None:
            raise CommandError(f"No coordinator signs in as {name}.")
        return found

    def _asked(self, question: str) -> str:
        """Return what is typed; nothing where nobody is there to type."""
        self.stdout.write(question, ending="")
        self.stdout.flush()
        return sys.stdin.readline().strip().lower()

    def _end_unfinished(self, school: School, user: User) -> None:
        """End a purge that broke off: what it left is in the plan of the next one."""
        if left := purging.unfinished(school):
            purging.stop(left, by=user, at=timezone.now())
            self.stdout.write(f"A purge of {left.started_at:%Y-%m-%d} broke off; it ends here.")

    def _show(self, school: School, plan: purge_plan.Plan) -> None:
        self.stdout.write(f"{school}, to be removed:" if plan.lines else f"{school}: nothing.")
        for line in plan.lines:
            where = f", {line.section}, {line.section.term}" if line.section else ""
            self.stdout.write(
                f"  {line.words}{where}: {line.count}, {line.oldest} to {line.newest}"
            )
            if line.without_record:
                self.stdout.write(f"    students without an issued record: {line.without_record}")
        for held in plan.held:
            self.stdout.write(f"  Held, stays: {held.who}. {held.words}. {' '.join(held.why)}")

    def _run(self, purge: Purge, user: User) -> None:
        bar = Bar(sys.stderr, "Removed", purge.total)
        try:
            for removed in purging.run(purge, by=user, at=timezone.now()):
                bar.step(removed)
        except KeyboardInterrupt:
            purging.stop(purge, by=user, at=timezone.now())
            self.stdout.write("\nStopped; start it again to go on.")
        purge.refresh_from_db()
        for kind, count in purge.removed.items():
            self.stdout.write(f"  {WORDS[Kind(kind)]}: {count} removed")
