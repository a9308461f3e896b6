"""Which files can be asked for: a row each in :data:`KINDS`.

What writes a kind is a function ``(about, to, progress, *, site)``. ``about`` is the section or the
student (a user), ``to`` the path to write to, ``progress`` a function that is told ``(done, of)``
after every step: by an exception that is to be let through it stops the work where the file was
cancelled, takes too long or gets too large. ``site`` is the address of the site, such as
``https://weldlog.example/``, for codes to scan. A writer keeps no whole file in memory, and writes
equal bytes for equal contents. To say why there can be no file it raises
``export_writing.NotMade`` with a sentence.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Protocol

from django.utils import timezone
from django.utils.functional import Promise
from django.utils.text import format_lazy, slugify
from django.utils.translation import gettext_lazy

from coursework.export_writing import Progress
from coursework.exports.files import SECTION_FILES, FileKind
from coursework.models import ExportFile, Section, User
from coursework.section_file import write_section_pdf, write_section_zip
from coursework.whole_file import write_whole_file


class Writer(Protocol):
    """What writes a kind of file."""

    def __call__(self, about: Any, to: Path, progress: Progress, /, *, site: str) -> None:
        """Write the file."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of file: its words with a place for what it is about, its ending, its writer, and
    what is in it and for whom it is."""

    key: str
    words: str | Promise
    about: type[Section] | type[User]
    extension: str
    write: Writer
    says: str | Promise = ""

    def title(self, about: Section | User | None) -> str:
        """Return what the file about this section or student is, in words."""
        return str(self.words) % {"about": about}


def key_of(file: FileKind) -> str:
    """Return the key under which a file of a section is asked for."""
    return file.name.replace(".", "-")


def _of_section(file: FileKind) -> Kind:
    """Return the file of a section as one that can be asked for where it is long."""

    def write(section: Section, to: Path, progress: Progress, /, *, site: str) -> None:  # noqa: ARG001
        file.write(section, to, progress)

    words = format_lazy("{}, %(about)s", file.title)
    return Kind(key_of(file), words, Section, file.extension.lower(), write, file.says)


WHERE_LONG: Final = {kind.key: kind for kind in map(_of_section, SECTION_FILES.values())}
KINDS: Final = {
    kind.key: kind
    for kind in (
        Kind("whole_file", gettext_lazy("Whole file of %(about)s"), User, "zip", write_whole_file),
        Kind(
            "section_pdf",
            gettext_lazy("Term records of %(about)s, bound"),
            Section,
            "pdf",
            write_section_pdf,
            gettext_lazy(
                "The matrix, then every student's record as issued, to print and to file. Codes to "
                "scan tell whether a print is genuine. For the school's file."
            ),
        ),
        Kind(
            "section_zip",
            gettext_lazy("Term records of %(about)s, one by one"),
            Section,
            "zip",
            write_section_zip,
            gettext_lazy(
                "A PDF for each student, and the same as JSON. To hand out, and for programs."
            ),
        ),
        *WHERE_LONG.values(),
    )
}


def kinds_about(what: type[Section] | type[User]) -> list[Kind]:
    """Return the kinds of files about sections, or about students."""
    return [each for each in KINDS.values() if each.about is what]


def title_of(export: ExportFile) -> str:
    """Return what a file is, in words."""
    return KINDS[export.kind].title(export.section or export.student)


def file_name_of(export: ExportFile) -> str:
    """Return a name of plain letters for a finished file: what it is, and the day it was made."""
    day = timezone.localdate(export.finished_at) if export.finished_at else ""
    return f"{slugify(title_of(export))[:80].strip('-')}-{day}.{KINDS[export.kind].extension}"
