#!/usr/bin/env python3
"""weldlog's commands start here: `python3 manage.py demo` shows the whole job, `test` checks it."""

import os
import sys

from weldlog import bootstrap


def main() -> None:
    """Bring up the environment that the command needs, then hand over to Django."""
    bootstrap.enter(sys.argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "weldlog.settings")
    from django.core.management import execute_from_command_line  # noqa: PLC0415 - not before enter()

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
