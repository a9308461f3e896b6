"""What the section page costs: as a multiple of a bare table, and in a large database.

Everything is stored in a test database of the configured server, which is made for the run and
goes with it: SQLite in memory, or PostgreSQL where ``WELDLOG_DATABASE_URL`` names one.
"""

import os
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Final

from django.db import connection, reset_queries
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings
from django.urls import reverse

from coursework.benchmarks.copies import copy_section, spans
from coursework.benchmarks.section_rows import Size, make
from coursework.models import Section, User

ROUNDS: Final = 31
WARM: Final = 3
SMALL_DATABASE: Final = 10_000
GOAL_QUERIES: Final = 12
GOAL_RATIO: Final = 2.5
GOAL_GROWTH: Final = 1.3
COLUMNS: Final = 13


@dataclass(frozen=True, slots=True)
class Cost:
    """One request [milliseconds]: CPU of this process, and time until the answer is there."""

    cpu_ms: float
    wall_ms: float


@dataclass(frozen=True, slots=True)
class Measured:
    """The page and the bare table of the same run, requested in turn; medians.

    ``database_ms`` is what a PostgreSQL server on this machine spends on one page [ms of CPU]; 0
    for SQLite, which works in this process, and for a server elsewhere.
    """

    page: Cost
    floor: Cost
    queries: int
    cells: int
    page_kb: float
    floor_kb: float
    database_ms: float

    @property
    def times(self) -> float:
        """The CPU of the page as a multiple of that of the table."""
        return self.page.cpu_ms / self.floor.cpu_ms

    @property
    def all_cpu_ms(self) -> float:
        """The CPU of the page, here and in the database [milliseconds]."""
        return self.page.cpu_ms + self.database_ms


def report(number: int | None, each: int) -> Iterator[str]:
    """Yield the lines of the report.

    Parameters
    ----------
    number : int or None
        How many coupons the database is to hold at last; None for those of the section alone.
    each : int
        How many coupons each student has.

    Raises
    ------
    RuntimeError
        When a large database is asked for and the server is not PostgreSQL.
    """
    if number and connection.vendor != "postgresql":
        raise RuntimeError("bench pages: --coupons needs PostgreSQL; set WELDLOG_DATABASE_URL.")
    size = Size(coupons=each)
    yield (
        f"Section page, {size.students} students, {size.exercises} exercises, {size.coupons} "
        f"coupons each, on {connection.vendor}; beside it a bare view that renders a table"
    )
    yield (
        f"of as many cells and bytes, without a database (in turn, median of {ROUNDS}; goals: "
        f"{GOAL_QUERIES} queries, {GOAL_RATIO} times, {GOAL_GROWTH} times in the large database):"
    )
    with _test_database():
        section, instructor = make(size)
        if number is None:
            yield line(size.all_coupons, measure(section, instructor))
            return
        yield from _grown(size, number, section, instructor)


def _grown(size: Size, number: int, section: Section, instructor: User) -> Iterator[str]:
    first, costs, copies = spans(), [], 1
    for wanted in (SMALL_DATABASE, number):
        needed = max(1, round(wanted / size.all_coupons))
        copy_section(range(copies, needed), first)
        copies = needed
        found = measure(section, instructor)
        costs.append(found.all_cpu_ms / found.floor.cpu_ms)
        yield line(copies * size.all_coupons, found)
    yield (
        f"  large against small: {costs[1] / costs[0]:.2f} times the CPU of page and database, "
        "each over the bare table of its own run"
    )


def line(coupons: int, found: Measured) -> str:
    """Return one line of the report."""
    ratio = (
        f"{found.page.cpu_ms:.1f} ms CPU / {found.floor.cpu_ms:.1f} ms = {found.times:.2f} times"
    )
    database = f"database {found.database_ms:.1f} ms CPU"
    size = f"{found.cells} cells, {found.page_kb:.0f} kB / {found.floor_kb:.0f} kB"
    return (
        f"  {coupons:>9} coupons: {found.queries} queries; {ratio}; {database}; "
        f"{found.page.wall_ms:.0f} ms in all ({size})"
    )


def measure(section: Section, instructor: User) -> Measured:
    """Request the page and the bare table in turn, and return what each costs."""
    page = reverse("coursework:section", args=[section.pk])
    # With debug on, the log of queries is full by now and would count none.
    reset_queries()
    with override_settings(ROOT_URLCONF="coursework.benchmarks.page_urls", ALLOWED_HOSTS=["*"]):
        client = Client()
        client.force_login(instructor)
        with CaptureQueriesContext(connection) as captured:
            body = _answer(client, page)
        queries = len(captured)
        cells = len(re.findall(rb"<t[dh][ >]", body))
        floor = f"/bare-table/{round(cells / COLUMNS)}/{COLUMNS}/"
        table = _answer(client, floor)
        for _ in range(WARM):
            _answer(client, page)
        _work_alone()
        before = _database_cpu_ms()
        rounds = [(_cost(client, page), _cost(client, floor)) for _ in range(ROUNDS)]
        database = (_database_cpu_ms() - before) / ROUNDS
    pages, floors = zip(*rounds, strict=True)
    return Measured(
        page=_middle(pages),
        floor=_middle(floors),
        queries=queries,
        cells=cells,
        page_kb=len(body) / 1000,
        floor_kb=len(table) / 1000,
        database_ms=database,
    )


def _work_alone() -> None:
    """Keep the server from sharing a query out to processes whose CPU would not be counted."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SET max_parallel_workers_per_gather = 0")


def _database_cpu_ms() -> float:
    """Return what the server has spent on this connection so far, where it can be seen."""
    if connection.vendor != "postgresql":
        return 0.0
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        process = Path("/proc") / str(cursor.fetchone()[0]) / "stat"
    if not process.exists():
        return 0.0
    user, system = process.read_text(encoding="ascii").rpartition(")")[2].split()[11:13]
    return (int(user) + int(system)) * 1000 / os.sysconf("SC_CLK_TCK")


def _answer(client: Client, address: str) -> bytes:
    answer = client.get(address, secure=True)
    if answer.status_code != 200:
        raise RuntimeError(f"{address} answered {answer.status_code}.")
    return bytes(answer.content)


def _cost(client: Client, address: str) -> Cost:
    wall, cpu = time.perf_counter(), time.process_time()
    _answer(client, address)
    return Cost((time.process_time() - cpu) * 1000, (time.perf_counter() - wall) * 1000)


def _middle(costs: tuple[Cost, ...]) -> Cost:
    return Cost(median(each.cpu_ms for each in costs), median(each.wall_ms for each in costs))


@contextmanager
def _test_database() -> Iterator[None]:
    """Point the connection at a test database that is made for the run."""
    name = connection.settings_dict["NAME"]
    connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
    try:
        yield
    finally:
        connection.creation.destroy_test_db(name, verbosity=0)
