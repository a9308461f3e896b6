"""``manage.py demo``: the whole job on an invented term, in a folder of its own."""

import argparse
import shutil
import tempfile
import time
from datetime import date
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError, connection
from django.utils import timezone

from coursework.bar import Bar
from coursework.demo import load
from coursework.demo.browser import Trouble
from coursework.demo.people import PASSWORD, PEOPLE, calendar
from coursework.demo.server import HOST, OneThreadServer, running, server
from coursework.demo.walk import Walked, walk, walker
from coursework.demo.worker import working
from coursework.models import Coupon, Term

FOLDER: Final = Path("var") / "demo"
EARLIEST: Final = date(2000, 1, 1)


def a_day(text: str) -> date:
    """Read a date such as 2026-11-25."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a date such as 2026-11-25") from None


class Command(BaseCommand):
    """Load the invented term, walk the main job, serve the site."""

    help = "Loads an invented term, walks the main job through the pages, and serves the site."
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        """Add the four options."""
        parser.add_argument("--no-serve", action="store_true", help="stop before serving")
        parser.add_argument("--fresh", action="store_true", help="forget the last demo, start over")
        parser.add_argument("--today", type=a_day, help="the day in week 11 to load for")
        parser.add_argument("--port", type=int, default=8000, help="where to serve (8000)")

    def handle(self, *args: Any, **options: Any) -> None:  # noqa: ARG002
        """Do it all; whatever cannot be done ends in one sentence."""
        today = self._today(options["today"])
        try:
            self._look_at_folder()
            made = None if options["no_serve"] else self._take_port(options["port"])
            if options["fresh"]:
                self._forget()
            self._load(today)
            self._walk(made.server_port if made else options["port"])
        except KeyboardInterrupt:
            raise CommandError("Stopped. The same command goes on from here.") from None
        except Trouble as trouble:
            raise CommandError(f"The walk stopped: {trouble}") from trouble
        except DatabaseError as error:
            raise CommandError(
                f"The database in {FOLDER} cannot be used ({error}); "
                "`python3 manage.py demo --fresh` makes a new one."
            ) from error
        except OSError as error:
            raise CommandError(
                f"{error.filename or FOLDER} cannot be used ({error.strerror}); the demo keeps its "
                "files there."
            ) from error
        if made:
            self._serve(made)

    # --- may it start?

    def _today(self, asked: date | None) -> date:
        zone = calendar(EARLIEST).zone
        now = timezone.now().astimezone(zone).date()
        if asked and not EARLIEST <= asked <= now:
            raise CommandError(f"--today takes a day from {EARLIEST} up to today, {now}.")
        return asked or now

    def _look_at_folder(self) -> None:
        if not Path(settings.DATA).match(str(FOLDER)) or connection.vendor != "sqlite":
            raise CommandError(
                f"The demo runs in {FOLDER} alone, never on a school's data: start it with "
                "`python3 manage.py demo`."
            )
        settings.DATA.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=settings.DATA):
            pass

    def _take_port(self, port: int) -> OneThreadServer:
        try:
            return server(port)
        except (OSError, OverflowError) as error:
            said = getattr(error, "strerror", None) or "it goes from 1 to 65535"
            raise CommandError(
                f"Port {port} of {HOST} cannot be used ({said}); choose another with --port 8001, "
                "or stop what uses it."
            ) from error

    def _forget(self) -> None:
        connection.close()
        name = Path(connection.settings_dict["NAME"])
        for path in (name, name.with_name(f"{name.name}-wal"), name.with_name(f"{name.name}-shm")):
            path.unlink(missing_ok=True)
        for folder in (settings.MEDIA_ROOT, settings.DATA / "exports", settings.DATA / "out"):
            shutil.rmtree(folder, ignore_errors=True)

    # --- the term

    def _load(self, today: date) -> None:
        started = time.monotonic()
        call_command("migrate", verbosity=0, interactive=False)
        if load.is_loaded():
            self.stdout.write(f"The term is there already: {self._term(today)}")
            self.stdout.write("--fresh forgets it and loads it anew, for week 11.")
            return
        load.load(
            today, Bar(self.stdout, "Telling the term, student by student", load.students()).step
        )
        took = time.monotonic() - started
        self.stdout.write(f"Loaded in {took:.0f} s: {self._term(today)}")

    def _term(self, today: date) -> str:
        term = Term.objects.get(school__name=PEOPLE["school"])
        withdrawn = Coupon.objects.filter(state=Coupon.State.WITHDRAWN).count()
        return (
            f"{term.school}, {term.name}, week {term.week(today)} of {term.weeks}, "
            f"{Coupon.objects.count()} coupons, of which {withdrawn} withdrawn "
            "that no page counts."
        )

    def _walk(self, port: int) -> None:
        self.stdout.write("\nThe main job, through the pages of the site:\n")
        with running() as site:
            for said in walk(site, settings.DATA / "out"):
                if isinstance(said, Walked):
                    self._say_where(said, f"http://{HOST}:{port}")
                else:
                    self.stdout.write(f"  {said}")

    def _say_where(self, walked: Walked, site: str) -> None:
        self.stdout.write("\nFiles:")
        for path in walked.files:
            self.stdout.write(
                f"  {path.relative_to(settings.BASE_DIR)}, {path.stat().st_size} bytes"
            )
        self.stdout.write("\nPages, once the site is served:")
        coupon, section = walked.coupon, walked.coupon.section_id
        for words, address in (
            ("the coupon", f"/coupons/{coupon.public_id}/"),
            ("the section", f"/sections/{section}/"),
            ("coupons that wait for a grade", f"/sections/{section}/waiting/"),
            ("the issued record", walked.record_path),
            ("the guides, without sign-in", "/guides/"),
        ):
            self.stdout.write(f"  {site}{address}  {words}")
        self.stdout.write(f"\nSign-ins, all with the password “{PASSWORD}”:")
        for role, names in sign_ins():
            self.stdout.write(f"  {role:13} {names}")

    # --- the site

    def _serve(self, made: OneThreadServer) -> None:
        self.stdout.write(f"\nServing http://{HOST}:{made.server_port}/ — Ctrl+C stops it.")
        self.stdout.write("A worker beside it makes the files that take long.")
        try:
            with working():
                made.serve_forever()
        except KeyboardInterrupt:
            self.stdout.write("\nStopped.")
        finally:
            made.server_close()


def sign_ins() -> list[tuple[str, str]]:
    """Return by role who can sign in."""
    students = [
        f"{each['username']} ({section['name']})"
        for section in PEOPLE["sections"]
        for each in section["students"][:2]
    ]
    return [
        ("students", f"{', '.join(students)}, ... ; {walker()} is the one who walked"),
        ("instructors", ", ".join(each["username"] for each in PEOPLE["instructors"])),
        ("coordinator", PEOPLE["coordinator"]["username"]),
    ]
