"""A OneRoster 1.2 set, written as the standard wants it: exact, for a machine.

Whatever a value looks like, nothing is put before it: such a set is read by a school's system and
not by a spreadsheet. A file without rows is left out and stated to be absent.
"""

import csv
import io
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Final

from coursework.export_writing import add
from coursework.oneroster_tables import DATA_FILES, FILES, GRADEBOOK_FILES

TABLES: Final = FILES | GRADEBOOK_FILES


def write(files: Mapping[str, Sequence[Mapping[str, str]]], to: Path) -> None:
    """Write the whole set (bulk) as a zip.

    Parameters
    ----------
    files : mapping of str to sequence of mapping
        The rows by file, without ``.csv``; a column that a row does not have stays empty.
    to : Path
        Where to write.

    Raises
    ------
    ValueError
        When a row has a column that the file does not have.
    """
    there = [name for name in DATA_FILES if files.get(name)]
    with zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as archive:
        _add(archive, "manifest", ("propertyName", "value"), _manifest(there))
        for name in there:
            _add(archive, name, [each.name for each in TABLES[name]], files[name])


def _manifest(there: Iterable[str]) -> list[dict[str, str]]:
    modes = dict.fromkeys(sorted(DATA_FILES), "absent") | dict.fromkeys(there, "bulk")
    stated = {
        "manifest.version": "1.0",
        "oneroster.version": "1.2",
        **{f"file.{name}": mode for name, mode in modes.items()},
        "source.systemName": "weldlog",
    }
    return [{"propertyName": name, "value": value} for name, value in stated.items()]


def _add(
    archive: zipfile.ZipFile,
    name: str,
    columns: Sequence[str],
    rows: Iterable[Mapping[str, str]],
) -> None:
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, columns, restval="", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    add(archive, f"{name}.csv", out.getvalue().encode())
