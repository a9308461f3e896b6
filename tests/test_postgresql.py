"""The tables hold on PostgreSQL as they do on SQLite."""

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection

from weldlog import system_packages

pytestmark = [pytest.mark.postgres(only=True), pytest.mark.django_db]


def test_the_server_is_one_that_django_supports() -> None:
    assert connection.vendor == "postgresql"
    with connection.cursor() as cursor:
        cursor.execute("show server_version_num")
        (version,) = cursor.fetchone()
    assert int(version) // 10000 >= system_packages.OLDEST_POSTGRESQL


def test_every_table_is_there_and_its_constraints_are_sound() -> None:
    connection.check_constraints()
    tables = set(connection.introspection.table_names())
    assert {model._meta.db_table for model in apps.get_models()} <= tables


def test_the_tables_are_those_that_the_models_ask_for() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)
