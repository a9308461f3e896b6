"""A OneRoster 1.2 CSV set: read, checked in full, and turned into classes with their students.

A set is taken whole or refused whole: every problem names its file, its line and its reason.
Source of all checks: OneRoster 1.2 CSV Binding (19 September 2022); the limits on the zip are ours.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Final

from django.utils.translation import gettext as _

from coursework import roster
from coursework.oneroster_archive import Refused, Table, refuse, tables
from coursework.oneroster_tables import (
    DATA_FILES,
    ENUMERATIONS,
    EXTENDABLE,
    FILES,
    MODES,
    Column,
)
from coursework.roster import MOST_PROBLEMS, Problem, Row

type Record = dict[str, str]
type Lines = list[tuple[int, Record]]

LONGEST_ID: Final = 255
OLD_HEADER: Final = {"role", "orgSourcedIds"}
YEAR: Final = re.compile(r"[0-9]{4}")
DAY: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


@dataclass(frozen=True, slots=True)
class RosterClass:
    """One class of a set, with those who learn in it and those who teach it."""

    source_id: str
    title: str
    code: str
    students: tuple[Row, ...]
    teachers: tuple[str, ...]


def read(data: bytes) -> tuple[RosterClass, ...]:
    """Return the classes of a set, in the order of their titles.

    Parameters
    ----------
    data : bytes
        The zip: manifest, orgs, academicSessions, courses, classes, users, roles, enrollments.

    Raises
    ------
    Refused
        When anything in the set is not as version 1.2 wants it; nothing of it is to be used then.
    """
    found, names = tables(data, ("manifest", *FILES))
    if "manifest" not in found:
        raise refuse(_("There is no manifest.csv, so this is no OneRoster set."))
    _check_manifest(found["manifest"], names, found.get("users"))
    lines = {name: _records(found[name]) for name in FILES}
    if problems := tuple(islice(_problems(lines), MOST_PROBLEMS)):
        raise Refused(*problems)
    return _classes(lines)


def _check_manifest(manifest: Table, names: set[str], users: Table | None) -> None:
    """Refuse a set whose manifest says another version, another mode or other files."""
    if manifest.header != ["propertyName", "value"]:
        raise refuse(_("The header has to be propertyName,value."), manifest.file, 1)
    stated: dict[str, tuple[int, str]] = {}
    for line, fields in manifest.records:
        if len(fields) != len(manifest.header):
            raise refuse(_("A name and a value are wanted."), manifest.file, line)
        if fields[0] in stated:
            raise refuse(_("%s is stated twice.") % fields[0], manifest.file, line)
        stated[fields[0]] = line, fields[1]
    _check_versions(stated, manifest.file, users)
    for name in DATA_FILES:
        _check_mode(name, stated.get(f"file.{name}"), name in names, manifest.file)


def _check_versions(stated: Mapping[str, tuple[int, str]], file: str, users: Table | None) -> None:
    old = users is not None and set(users.header) >= OLD_HEADER
    line, version = stated.get("oneroster.version", (None, ""))
    if version == "1.1" or old:
        said = _("This is a OneRoster 1.1 set. Only 1.2 is read: export it as 1.2, or as a list.")
        raise refuse(said, file, line)
    for name, wanted in (("oneroster.version", "1.2"), ("manifest.version", "1.0")):
        line, value = stated.get(name, (None, ""))
        if value != wanted:
            said = _("%(name)s has to be %(wanted)s.") % {"name": name, "wanted": wanted}
            raise refuse(said, file, line)


def _check_mode(name: str, stated: tuple[int, str] | None, there: bool, file: str) -> None:
    line, mode = stated or (None, "")
    if mode not in MODES:
        said = _("file.%s has to be absent, bulk or delta.") % name
    elif name in FILES and mode == "delta":
        said = _("%s.csv holds changes alone (delta). Export the whole set (bulk).") % name
    elif name in FILES and mode == "absent":
        said = _("%s.csv is absent; a roster cannot be read without it.") % name
    elif there and mode == "absent":
        said = _("%s.csv is there, but stated to be absent.") % name
    elif not there and mode != "absent":
        said = _("%s.csv is stated, but not in the zip.") % name
    else:
        return
    raise refuse(said, file, line)


def _records(table: Table) -> Lines:
    """Return the records of a file by column, once its header and its shape are right."""
    wanted = [column.name for column in FILES[table.file.removesuffix(".csv")]]
    if table.header != wanted:
        raise refuse(_wrong_header(table.header, wanted), table.file, 1)
    if not table.records:
        raise refuse(_("A header and no row. A file without rows is left out."), table.file, 1)
    for line, fields in table.records:
        if len(fields) != len(wanted):
            count = {"found": len(fields), "wanted": len(wanted)}
            said = _("%(found)d fields where the header names %(wanted)d.") % count
            raise refuse(said, table.file, line)
    return [(line, dict(zip(wanted, fields, strict=True))) for line, fields in table.records]


def _wrong_header(found: Sequence[str], wanted: Sequence[str]) -> str:
    for name, right in zip([*found, *[""] * len(wanted)], wanted, strict=False):
        if name != right:
            pair = {"name": name[:40], "right": right}
            return _("The header says “%(name)s” where %(right)s has to stand.") % pair
    return _("The header has a column too many: “%s”.") % found[len(wanted)][:40]


def _problems(lines: Mapping[str, Lines]) -> Iterator[Problem]:
    ids = {name: {record["sourcedId"] for _line, record in rows} for name, rows in lines.items()}
    for name, rows in lines.items():
        file, seen = f"{name}.csv", set[str]()
        for line, record in rows:
            if record["sourcedId"] in seen:
                yield Problem(
                    line, _("The sourcedId %s is there twice.") % record["sourcedId"], file
                )
            seen.add(record["sourcedId"])
            for column in FILES[name]:
                if reason := _wrong_value(column, record[column.name], ids):
                    yield Problem(line, f"{column.name}: {reason}", file)
    yield from _contradictions(lines)


def _wrong_value(column: Column, value: str, ids: Mapping[str, set[str]]) -> str:
    """Return what is wrong with a value, empty where nothing."""
    if "\r" in value or "\n" in value:
        return _("A line break inside a field.")
    if not value:
        return _("A value is wanted.") if column.required else ""
    if column.refers_to:
        listed = [each.strip() for each in value.split(",")] if column.is_list else [value]
        for each in listed:
            if each not in ids[column.refers_to]:
                names = {"id": each[:60], "file": f"{column.refers_to}.csv"}
                return _("%(id)s is not in %(file)s.") % names
    return _wrong_kind(column.kind, value)


def _wrong_kind(kind: str, value: str) -> str:
    shown = value[:40]
    if kind == "empty":
        return _("“%s” in a bulk file, where it stays empty.") % shown
    if kind == "id" and (len(value) > LONGEST_ID or "," in value):
        return _("An id has no comma and at most %d characters.") % LONGEST_ID
    if kind == "date" and not _is_day(value):
        return _("“%s” is no date; it is written like 2026-09-14.") % shown
    if kind == "year" and not YEAR.fullmatch(value):
        return _("“%s” is no year of four digits.") % shown
    allowed = ENUMERATIONS.get(kind, ())
    extended = kind in EXTENDABLE and value.startswith("ext:")
    if allowed and value not in allowed and not extended:
        words = {"value": shown, "allowed": ", ".join(allowed)}
        return _("“%(value)s” is none of: %(allowed)s.") % words
    return ""


def _is_day(value: str) -> bool:
    try:
        date.fromisoformat(value)
    except ValueError:
        return False
    return DAY.fullmatch(value) is not None


def _contradictions(lines: Mapping[str, Lines]) -> Iterator[Problem]:
    """Yield what no single value is guilty of."""
    for line, record in lines["academicSessions"]:
        if record["endDate"] <= record["startDate"]:
            yield Problem(line, _("It ends before it begins."), "academicSessions.csv")
    primary = set[tuple[str, str]]()
    for line, record in lines["roles"]:
        place = record["userSourcedId"], record["orgSourcedId"]
        if record["roleType"] == "primary":
            if place in primary:
                said = _("A second primary role of one person in one organization.")
                yield Problem(line, said, "roles.csv")
            primary.add(place)
    for line, record in lines["enrollments"]:
        if record["primary"] == "true" and record["role"] != "teacher":
            yield Problem(line, _("Only a teacher is primary."), "enrollments.csv")
    yield from _unusable(lines)


def _unusable(lines: Mapping[str, Lines]) -> Iterator[Problem]:
    """Yield students whom a row of ours could not hold."""
    learning = {
        record["userSourcedId"]
        for _line, record in lines["enrollments"]
        if record["role"] == "student"
    }
    rows = [
        _row(line, record) for line, record in lines["users"] if record["sourcedId"] in learning
    ]
    for row in rows:
        values = {name: getattr(row, name) for name in roster.MEMBERS}
        if reason := roster.wrong_values(values):
            yield Problem(row.line, reason, "users.csv")


def _row(line: int, record: Record) -> Row:
    # A number or a user name that cannot be one here is left out; the source id names the student.
    number, name = record["identifier"].strip(), record["username"]
    fits = roster.USERNAME.fullmatch(name) and len(name) <= roster.LONGEST["username"]
    return Row(
        line,
        last_name=" ".join(record["familyName"].split()),
        first_name=" ".join(record["givenName"].split()),
        student_number=number if len(number) <= roster.LONGEST["student_number"] else "",
        username=name if fits else "",
        source_id=record["sourcedId"],
    )


def _classes(lines: Mapping[str, Lines]) -> tuple[RosterClass, ...]:
    """Return the classes; whose account the school has closed is in none."""
    users = {
        record["sourcedId"]: _row(line, record)
        for line, record in lines["users"]
        if record["enabledUser"] == "true"
    }
    people: dict[tuple[str, str], dict[str, Row]] = {}
    for _line, record in lines["enrollments"]:
        if user := users.get(record["userSourcedId"]):
            group = people.setdefault((record["classSourcedId"], record["role"]), {})
            group[user.source_id] = user
    found = [_class(record, people) for _line, record in lines["classes"]]
    return tuple(sorted(found, key=lambda each: (each.title, each.code, each.source_id)))


def _class(record: Record, people: Mapping[tuple[str, str], dict[str, Row]]) -> RosterClass:
    source_id = record["sourcedId"]
    students = people.get((source_id, "student"), {}).values()
    teachers = people.get((source_id, "teacher"), {}).values()
    return RosterClass(
        source_id,
        record["title"],
        record["classCode"],
        tuple(sorted(students, key=lambda each: (*each.key, each.line))),
        tuple(sorted(each.name for each in teachers)),
    )
