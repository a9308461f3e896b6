"""The zip of a OneRoster set, opened with care: what is in it is counted before it is believed."""

import csv
import io
import lzma
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext as _

from coursework.roster import Problem

MOST_PACKED_BYTES: Final = 8_000_000
MOST_MEMBERS: Final = 40
MOST_FILE_BYTES: Final = 8_000_000
MOST_UNPACKED_BYTES: Final = 24_000_000
METHODS: Final = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
# What the zip reader raises of a file that is torn, made up or locked. NotImplementedError is
# one of them: a version or a compression that it does not know.
TORN: Final = (
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    EOFError,
    NotImplementedError,
    OSError,
    RuntimeError,
    ValueError,
)


class Refused(Exception):
    """The set is not read any further; ``problems`` say where and why."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__(*map(str, problems))
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Table:
    """One file of the set: its header, and its records with the line each begins on."""

    file: str
    header: list[str]
    records: list[tuple[int, list[str]]]


def refuse(reason: str, file: str = "", line: int | None = None) -> Refused:
    """Return the refusal for one reason."""
    return Refused(Problem(line, reason, file))


def tables(data: bytes, wanted: Sequence[str]) -> tuple[dict[str, Table], set[str]]:
    """Return the files wanted that are in a zip, and the names of all that are in it.

    Parameters
    ----------
    data : bytes
        The zip as it was uploaded.
    wanted : sequence of str
        File names without ``.csv``.

    Raises
    ------
    Refused
        When it is no zip, holds too many or too large files, or one that cannot be read.
    """
    if len(data) > MOST_PACKED_BYTES:
        raise refuse(_("The zip is larger than %d MB.") % (MOST_PACKED_BYTES // 1_000_000))
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except TORN as error:
        raise refuse(_("This is no zip that can be opened.")) from error
    with archive:
        members = archive.infolist()
        _check_members(members)
        found = {each.filename.removesuffix(".csv"): each for each in members}
        read = {name: _table(archive, found[name]) for name in wanted if name in found}
    return read, set(found)


def _check_members(members: Sequence[zipfile.ZipInfo]) -> None:
    if len(members) > MOST_MEMBERS:
        raise refuse(_("More than %d files in the zip.") % MOST_MEMBERS)
    if len({each.filename for each in members}) < len(members):
        raise refuse(_("Two files of the zip have the same name."))
    for each in members:
        if "/" in each.filename or "\\" in each.filename:
            reason = _("Lies in a folder. Zip the files themselves, not the folder around them.")
            raise refuse(reason, each.filename)
        if each.flag_bits & 1 or each.compress_type not in METHODS:
            reason = _("Is packed with a password, or in a way that is not read.")
            raise refuse(reason, each.filename)
        if each.file_size > MOST_FILE_BYTES:
            most = MOST_FILE_BYTES // 1_000_000
            raise refuse(_("Is larger than %d MB unpacked.") % most, each.filename)
    if sum(each.file_size for each in members) > MOST_UNPACKED_BYTES:
        most = MOST_UNPACKED_BYTES // 1_000_000
        raise refuse(_("The files are larger than %d MB unpacked, taken together.") % most)


def _table(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> Table:
    name = member.filename
    try:
        with archive.open(member) as file:
            # The size that the zip states is a claim; no more than the limit is unpacked.
            data = file.read(MOST_FILE_BYTES + 1)
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise refuse(_("Is not UTF-8."), name, line) from error
    except TORN as error:
        raise refuse(_("Is damaged and cannot be unpacked."), name) from error
    records = list(_records(text, name))
    if not records:
        raise refuse(_("Is empty."), name)
    (_line, header), *body = records
    return Table(name, header, body)


def _records(text: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the records of a file, each with the line that it begins on."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    line = 1
    while True:
        try:
            fields = next(reader, None)
        except csv.Error as error:
            said = _("A quotation mark is not closed, or something follows it.")
            raise refuse(said, name, line) from error
        if fields is None:
            return
        if fields:
            yield line, fields
        line = reader.line_num + 1
