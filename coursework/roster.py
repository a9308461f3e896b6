"""A class list as text: read line by line into rows and problems, without any table of the site.

Any sensible header is understood, in any order and case, with comma, semicolon or tab between the
columns. A list that cannot be read in full says which line and why; nothing is guessed.
"""

import csv
import io
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext as _

# A section has thirty students, a school a few thousand people.
MOST_BYTES: Final = 1_000_000
MOST_ROWS: Final = 1_000
MOST_PROBLEMS: Final = 200
LONGEST: Final = {
    "last_name": 150,
    "first_name": 150,
    "student_number": 24,
    "username": 150,
    "source_id": 255,
}
COLUMNS: Final = {
    "last_name": {"last name", "lastname", "last", "surname", "family name", "familyname"},
    "first_name": {"first name", "firstname", "first", "given name", "givenname", "forename"},
    "name": {"name", "full name", "student", "student name"},
    "student_number": {"student number", "student no", "student id", "studentid", "number", "id"},
    "username": {"user name", "username", "user", "user id", "login", "login id", "login name"},
    "source_id": {"source id", "sourceid", "sourced id", "sourcedid"},
}
HEADER: Final = ("last name", "first name", "student number", "user name", "source id")
MEMBERS: Final = ("last_name", "first_name", "student_number", "username", "source_id")
USERNAME: Final = re.compile(r"[\w.@+-]+")


@dataclass(frozen=True, slots=True)
class Row:
    """One student of a list; ``line`` is where the row begins, from 1."""

    line: int
    last_name: str
    first_name: str
    student_number: str = ""
    username: str = ""
    source_id: str = ""

    @property
    def name(self) -> str:
        """The name as lists show it, last name first."""
        return f"{self.last_name}, {self.first_name}"

    @property
    def key(self) -> tuple[str, str]:
        """The name as two lists may be compared by it."""
        return same(self.last_name), same(self.first_name)


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong, and where: the file of a set, and the line where there is one."""

    line: int | None
    reason: str
    file: str = ""

    def __str__(self) -> str:
        at = {"file": self.file, "line": self.line, "reason": self.reason}
        if self.file and self.line:
            return _("%(file)s, line %(line)d: %(reason)s") % at
        if self.line:
            return _("Line %(line)d: %(reason)s") % at
        return _("%(file)s: %(reason)s") % at if self.file else self.reason


@dataclass(frozen=True, slots=True)
class ClassList:
    """What a text says: students, what is wrong, and the names of columns that were not read."""

    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]
    unread: tuple[str, ...] = ()


class NotText(Exception):
    """The bytes are no text in an encoding that is understood."""


def same(text: str) -> str:
    """Return a text as it is compared: however it is composed, spaced and capitalized."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def decode(data: bytes) -> tuple[str, str]:
    """Return the text of a file and the name of its encoding.

    A byte-order mark is believed; what is not UTF-8 is Windows-1252, which spreadsheets write.

    Raises
    ------
    NotText
        When it is neither, or holds bytes that stand for nothing.
    """
    marked = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    for encoding, name in (("utf-16", "UTF-16"),) if marked else _ENCODINGS:
        try:
            return data.decode(encoding), name
        except UnicodeDecodeError:
            continue
    raise NotText


_ENCODINGS: Final = (("utf-8-sig", "UTF-8"), ("cp1252", "Windows-1252"))


def read(text: str) -> ClassList:
    """Read a class list; whatever the text is, the answer is rows or problems.

    Parameters
    ----------
    text : str
        A header line and a line for each student.
    """
    text = text.removeprefix("\ufeff")
    first = next((line for line in text.splitlines() if line.strip()), "")
    if not first:
        return _only(_("There is nothing in the list yet."))
    try:
        records = list(_records(text, _separator(first)))
    except _Torn as torn:
        return _only(torn.reason, torn.line)
    (line, header), *body = records
    columns = [_column(name) for name in header]
    if wrong := _wrong_header(columns):
        return _only(wrong, line)
    if not body:
        return _only(_("The header is there, but no student below it."), line)
    if len(body) > MOST_ROWS:
        return _only(_("More than %d students; import one class at a time.") % MOST_ROWS)
    return _students(columns, header, body)


def write(rows: Iterable[Row]) -> str:
    """Return rows as a class list with commas, which :func:`read` reads back to the same rows."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    writer.writerows([getattr(row, name) for name in MEMBERS] for row in rows)
    return out.getvalue()


def twice(rows: Sequence[Row]) -> Iterator[Problem]:
    """Yield a problem for each row that names somebody whom an earlier row names already."""
    words = {
        "source_id": _("This is the source id of line %d."),
        "student_number": _("This is the student number of line %d."),
        "username": _("This is the user name of line %d."),
    }
    seen: dict[tuple[str, ...], Row] = {}
    for row in rows:
        for member, says in words.items():
            if value := same(getattr(row, member)):
                earlier = seen.setdefault((member, value), row)
                if earlier is not row:
                    yield Problem(row.line, says % earlier.line)
        earlier = seen.setdefault(row.key, row)
        if earlier is not row and not (_told_apart(row) and _told_apart(earlier)):
            says = _("Same name as line %d. Give both a student number.")
            yield Problem(row.line, says % earlier.line)


def _told_apart(row: Row) -> bool:
    return bool(row.student_number or row.username or row.source_id)


def _only(reason: str, line: int | None = None) -> ClassList:
    return ClassList((), (Problem(line, reason),))


class _Torn(Exception):
    """The text stops being a table at a line."""

    def __init__(self, line: int, reason: str) -> None:
        super().__init__(reason)
        self.line, self.reason = line, reason


def _separator(header: str) -> str:
    """Return what stands between the columns: with which more of the header is understood.

    A header of one column has none; its lines may hold commas, as in ``Quill, Ansa``.
    """

    def understood(mark: str) -> int:
        return sum(1 for name in header.split(mark) if _column(name.strip(' "')))

    return max("\t,;", key=understood)


def _column(name: str) -> str:
    bare = re.sub(r"[\W_]+", " ", name.replace("#", " number ")).strip().casefold()
    return next((column for column, names in COLUMNS.items() if bare in names), "")


def _records(text: str, separator: str) -> Iterator[tuple[int, list[str]]]:
    """Yield each line that is not blank with its number.

    Raises
    ------
    _Torn
        Where a quote is never closed or something follows a closing one.
    """
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    line = 1
    while True:
        try:
            fields = next(reader, None)
        except csv.Error as error:
            said = _("A quotation mark is not closed, or something follows it. Mend the line.")
            raise _Torn(line, said) from error
        if fields is None:
            return
        if any(field.strip() for field in fields):
            yield line, [" ".join(field.split()) for field in fields]
        line = reader.line_num + 1


def _wrong_header(columns: Sequence[str]) -> str:
    """Return what the header lacks, empty where nothing."""
    known = [column for column in columns if column]
    named = {"last_name", "first_name"} <= set(known) or "name" in known
    if not known:
        return _("No header. The first line names the columns, such as: last name, first name.")
    if not named:
        return _("The header names no columns for last name and first name.")
    if len(known) > len(set(known)):
        return _("Two columns of the header mean the same. Take one out.")
    return ""


def _students(
    columns: Sequence[str], header: Sequence[str], body: Sequence[tuple[int, list[str]]]
) -> ClassList:
    rows: list[Row] = []
    problems: list[Problem] = []
    for line, fields in body:
        row, reason = _student(columns, line, fields)
        if row:
            rows.append(row)
        else:
            problems.append(Problem(line, reason))
    problems = sorted([*problems, *twice(rows)], key=lambda each: each.line or 0)
    unread = [name for name, column in zip(header, columns, strict=True) if name and not column]
    return ClassList(tuple(rows), tuple(problems[:MOST_PROBLEMS]), tuple(unread))


def _student(columns: Sequence[str], line: int, fields: list[str]) -> tuple[Row | None, str]:
    """Return a row, or why the line is none."""
    if any(fields[len(columns) :]):
        count = {"found": len(fields), "named": len(columns)}
        said = _("%(found)d fields, but the header names %(named)d. Quote names with a comma.")
        return None, said % count
    values = {name: value for name, value in zip(columns, fields, strict=False) if name}
    whole = values.pop("name", "")
    if not (values.get("last_name") or values.get("first_name")):
        values |= zip(("last_name", "first_name"), _split(whole), strict=True)
    if "username" in values:
        values["username"] = unicodedata.normalize("NFKC", values["username"])
    if reason := wrong_values(values):
        return None, reason
    return Row(line, **values), ""


def _split(name: str) -> tuple[str, str]:
    """Return last and first name of ``Quill, Ansa`` or ``Ansa Quill``."""
    last, comma, first = name.partition(",")
    if not comma:
        first, _space, last = name.rpartition(" ")
    return last.strip(), first.strip()


def wrong_values(values: dict[str, str]) -> str:
    """Return why values cannot be a student's, empty where they can."""
    if not (values.get("last_name") and values.get("first_name")):
        return _("A last name and a first name are wanted.")
    for member, most in LONGEST.items():
        value = values.get(member, "")
        if len(value) > most:
            return _("“%(start)s…” is longer than %(most)d.") % {"start": value[:20], "most": most}
        if any(unicodedata.category(sign) in {"Cc", "Cs"} for sign in value):
            return _("There is a sign in it that cannot be printed.")
    if (name := values.get("username", "")) and not USERNAME.fullmatch(name):
        return _("“%s” is no user name: letters, digits and @ . + - _ make one.") % name[:40]
    return ""
