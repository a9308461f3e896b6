"""The files of a section, and those that a student has of the own coupons: a row each.

What writes one is a function ``(about, to, progress)``, as long exports want it (see
``coursework.export_kinds``): no whole file is kept in memory, and equal contents give equal bytes.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from django.utils.functional import Promise
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework import access, oneroster_writing
from coursework.export_writing import Progress
from coursework.exports import gradebook, log_document, log_tables, reading, student_rows
from coursework.exports.cells import write_csv
from coursework.models import Section, User

type Writer = Callable[[Any, Path, Progress], None]

# So many coupons take about ten seconds; what takes longer is made by the worker.
MOST_WHILE_WAITING: Final = 2_000


@dataclass(frozen=True, slots=True)
class FileKind:
    """A file that can be had: its name, what is in it, for whom it is, and who writes it.

    ``grows`` says whether it has something of every coupon.
    """

    name: str
    title: str | Promise
    says: str | Promise
    whom: str | Promise
    content_type: str
    write: Writer
    grows: bool = True

    @property
    def extension(self) -> str:
        """The kind of file by its ending, such as XLSX."""
        return Path(self.name).suffix[1:].upper()

    def name_for(self, section: Section) -> str:
        """Return the file name for a section, of plain letters."""
        return f"{slugify(str(section))[:60].strip('-') or 'section'}-{self.name}"


def is_long(section: Section) -> bool:
    """Return whether a section has too many coupons to wait for a file that has all of them."""
    return access.coupons_of(section).count() > MOST_WHILE_WAITING


# --- of a section that was found for its staff


def _section_workbook(section: Section, to: Path, progress: Progress) -> None:
    log_tables.write_workbook(
        section.term.school,
        f"{section}, {section.term}",
        student_rows.students(section),
        reading.whole(reading.coupons_of(section), progress),
        to,
    )


def _section_coupons(section: Section, to: Path, progress: Progress) -> None:
    coupons = reading.bare(reading.coupons_of(section), progress)
    log_tables.write_coupons(coupons, section.term.school.settings.zone, to)


def _section_exercises(section: Section, to: Path, progress: Progress) -> None:
    progress(0, 1)
    rows = student_rows.rows_alone(section, student_rows.students(section))
    with to.open("w", encoding="utf-8", newline="") as out:
        write_csv(out, rows, student_rows.ALONE)
    progress(1, 1)


def _section_log(section: Section, to: Path, progress: Progress) -> None:
    log_document.write_log(
        section.term.school,
        student_rows.students(section),
        reading.whole(reading.coupons_of(section), progress),
        to,
    )


def _gradebook(section: Section, to: Path, progress: Progress) -> None:
    progress(0, 1)
    oneroster_writing.write(gradebook.files(section), to)
    progress(1, 1)


# --- of a student, in all sections that they are or were in


def _own_workbook(student: User, to: Path, progress: Progress) -> None:
    students = student_rows.of_enrolments(access.enrolments(student))
    school = students[0].enrolment.section.term.school
    coupons = reading.whole(_own(student), progress)
    title = _("Coupon log of %s") % student
    log_tables.write_workbook(school, title, students, coupons, to)


def _own_coupons(student: User, to: Path, progress: Progress) -> None:
    zone = access.enrolments(student)[0].section.term.school.settings.zone
    log_tables.write_coupons(reading.bare(_own(student), progress), zone, to)


def _own_log(student: User, to: Path, progress: Progress) -> None:
    students = student_rows.of_enrolments(access.enrolments(student))
    school = students[0].enrolment.section.term.school
    log_document.write_log(school, students, reading.whole(_own(student), progress), to)


def _own(student: User) -> reading.Coupons:
    return access.coupons(student).order_by("section__term__starts_on", "enrolment_id", "number")


CSV: Final = "text/csv; charset=utf-8"
XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
JSON: Final = "application/json"
ZIP: Final = "application/zip"


def _by_name(*kinds: FileKind) -> dict[str, FileKind]:
    return {each.name: each for each in kinds}


SECTION_FILES: Final = _by_name(
    FileKind(
        "workbook.xlsx",
        gettext_lazy("Workbook"),
        gettext_lazy(
            "Students, exercises, coupons, findings, grades, scores and check tests, a sheet "
            "each, with real dates and numbers; the last sheet explains every column."
        ),
        gettext_lazy("For whoever looks into the term with a spreadsheet."),
        XLSX,
        _section_workbook,
    ),
    FileKind(
        "exercises.csv",
        gettext_lazy("Exercises as a table"),
        gettext_lazy(
            "A row for each student and exercise: how far, how many good coupons, who signed, "
            "what is missing, and the newest issued record."
        ),
        gettext_lazy("For a list on paper, or a program that reads tables."),
        CSV,
        _section_exercises,
        grows=False,
    ),
    FileKind(
        "coupons.csv",
        gettext_lazy("Coupons as a table"),
        gettext_lazy(
            "A row for each coupon: what was logged, the figures, counts of flags, the level and "
            "the words to the student."
        ),
        gettext_lazy("For a program that reads tables."),
        CSV,
        _section_coupons,
    ),
    FileKind(
        "coupons.json",
        gettext_lazy("Coupon log as JSON"),
        gettext_lazy(
            "Each coupon as it was logged, with every finding, grade, score and check test; times "
            "in UTC."
        ),
        gettext_lazy("For another program, or for safekeeping."),
        JSON,
        _section_log,
    ),
    FileKind(
        "gradebook.zip",
        gettext_lazy("Gradebook for the school's system"),
        gettext_lazy(
            "OneRoster 1.2: who is in the section, a line item for each exercise, the best level "
            "given as its result, and how far each competency is reached. Without those who left."
        ),
        gettext_lazy("For the system that holds the school's grades; not for a spreadsheet."),
        ZIP,
        _gradebook,
        grows=False,
    ),
)

OWN_FILES: Final = _by_name(
    FileKind(
        "coupons.xlsx",
        gettext_lazy("XLSX"),
        gettext_lazy("a workbook with findings, grades and scores on sheets of their own"),
        "",
        XLSX,
        _own_workbook,
    ),
    FileKind(
        "coupons.csv",
        gettext_lazy("CSV"),
        gettext_lazy("a table, a row for each coupon"),
        "",
        CSV,
        _own_coupons,
    ),
    FileKind(
        "coupons.json",
        gettext_lazy("JSON"),
        gettext_lazy("everything, for another program"),
        "",
        JSON,
        _own_log,
    ),
)
