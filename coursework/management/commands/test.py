"""`manage.py test`: the whole suite, through the runner that TEST_RUNNER names."""

import sys

from django.conf import settings
from django.core.management.commands.test import Command as DjangoTest
from django.test.utils import get_runner


class Command(DjangoTest):
    """Hand every argument on as it is: Django's own parser would refuse those of pytest."""

    help = "Run the tests through pytest, whose arguments it takes; --long adds the long ones."

    def run_from_argv(self, argv: list[str]) -> None:
        runner = get_runner(settings)()
        sys.exit(runner.run_tests(argv[2:]))
