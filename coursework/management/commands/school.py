"""``manage.py school``: the first command of a school of one's own."""

import getpass
import sys
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from coursework import first_school, usernames
from coursework.first_school import FirstSchool, SchoolIsThere
from coursework.models import SchoolSettings, User

QUESTIONS: Final = {
    "school": "Name of the school",
    "first_name": "Your first name",
    "last_name": "Your last name",
    "username": "User name to sign in with",
    "time_zone": "Time zone of the school",
}
NOTHING_READ: Final = (
    "The password is read from standard input, never from the command line: put it on the first "
    "line of a file that only you can read, and end the command with  < FILE"
)


class Command(BaseCommand):
    """Make the school and its first coordinator, who does all else on the site."""

    help = "Makes the school and its first coordinator in a database that has none."
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        """Take every answer as an option, but for the password."""
        for name, question in QUESTIONS.items():
            parser.add_argument(f"--{name.replace('_', '-')}", help=question.lower())
        parser.add_argument(
            "--no-input", action="store_true", help="ask nothing; the password is read from stdin"
        )

    def handle(self, *_: Any, no_input: bool, **options: Any) -> None:
        """Ask for what was not given, store it, and say how to sign in."""
        call_command("migrate", verbosity=0, interactive=False)
        try:
            first_school.refuse_a_second()
            answers = self._answers(options, no_input=no_input)
            read = self._piped_password if no_input else self._typed_password
            user = first_school.found(answers, read(answers))
        except SchoolIsThere as reason:
            raise CommandError(str(reason)) from reason
        except (KeyboardInterrupt, EOFError):
            raise CommandError("Stopped; no school was made.") from None
        self._say_how_to_go_on(user)

    def _answers(self, options: dict[str, Any], *, no_input: bool) -> FirstSchool:
        if not no_input:
            self.stdout.write("A school for weldlog. Enter takes what stands in brackets.\n\n")
        answers: dict[str, str] = {}
        for name, question in QUESTIONS.items():
            offer = _offer(name, answers)
            given = options[name] or (offer if no_input else None)
            if given is not None:
                answers[name] = _checked(name, given)
            elif no_input:
                raise CommandError(f"--no-input needs --{name.replace('_', '-')} as well.")
            else:
                answers[name] = self._ask(name, question, offer)
        return FirstSchool(**answers)

    def _ask(self, name: str, question: str, offer: str | None) -> str:
        line = f"{question} [{offer}]: " if offer else f"{question}: "
        while True:
            try:
                return first_school.clean(name, input(line) or offer or "")
            except ValidationError as error:
                self.stdout.write(f"  {' '.join(error.messages)}")

    def _typed_password(self, answers: FirstSchool) -> str:
        self.stdout.write("Twelve characters or more; three or four words make a good password.")
        while True:
            password = getpass.getpass("Password, which is not shown: ")
            try:
                first_school.clean_password(password, answers)
            except ValidationError as error:
                self.stdout.write(f"  {' '.join(error.messages)}")
                continue
            if getpass.getpass("The same again: ") == password:
                return password
            self.stdout.write("  These two were not the same.")

    def _piped_password(self, answers: FirstSchool) -> str:
        password = "" if sys.stdin.isatty() else sys.stdin.readline().rstrip("\r\n")
        if not password:
            raise CommandError(NOTHING_READ)
        try:
            return first_school.clean_password(password, answers)
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error

    def _say_how_to_go_on(self, user: User) -> None:
        self.stdout.write(
            f"\n{user.school} is made. Sign in on the site as {user.username}, with the password "
            "that you chose; the office then says what comes first. How the site is served stands "
            "in README.md, “A school of your own”."
        )


def _offer(name: str, answers: dict[str, str]) -> str | None:
    """Return what an answer is where nothing else is said."""
    if name == "username":
        made = usernames.make([(answers["first_name"], answers["last_name"])])[0]
        return None if made.startswith(usernames.WITHOUT_LETTERS) else made
    return str(SchoolSettings().time_zone) if name == "time_zone" else None


def _checked(name: str, given: str) -> str:
    try:
        return first_school.clean(name, given)
    except ValidationError as error:
        option = f"--{name.replace('_', '-')}"
        raise CommandError(f"{option}: {' '.join(error.messages)}") from error
