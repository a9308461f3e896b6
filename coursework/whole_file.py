"""Everything about one student in one zip: a JSON document, term records, photos.

The document is written coupon by coupon, so that memory does not grow with the term. Times are in
UTC, units in the names; ``tests/contract/whole_file.schema.json`` describes it. What the student
may not see yet is not in it: a grade that is held, and blind second gradings.
"""

import io
import tempfile
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any, Final

from django.core.files.storage import default_storage
from django.db.models import Prefetch, QuerySet
from django.utils.text import slugify
from django.utils.translation import gettext as _

from coursework import exports, issuing
from coursework.export_writing import Progress, add, add_copy, canonical
from coursework.models import (
    CheckResult,
    Coupon,
    CouponFacts,
    Enrolment,
    Grade,
    IssuedRecord,
    Photo,
    User,
)
from coursework.record_making import term_record
from coursework.whole_file_rows import Row, coupon_row, place_row, student_row

SCHEMA_VERSION: Final = 1
COUPONS_AT_ONCE: Final = 20


@dataclass(slots=True)
class _Steps:
    """Counts the steps of one file: coupons and places."""

    of: int
    progress: Progress
    done: int = field(default=0)

    def step(self) -> None:
        self.done += 1
        self.progress(self.done, self.of)


def write_whole_file(student: User, to: Path, progress: Progress, *, site: str) -> None:
    """Write everything about a student to a zip.

    Parameters
    ----------
    student : User
        Whose file it is, in all sections that they are or were in.
    to : Path
        Where to write.
    progress : function
        Told after every coupon and every section; see ``export_kinds``.
    site : str
        The address of the site, for the code on the record.
    """
    places = list(_places(student))
    coupons = Coupon.objects.filter(enrolment__in=places).count()
    steps = _Steps(coupons + len(places) or 1, progress)
    with (
        zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as archive,
        tempfile.TemporaryFile(dir=to.parent) as document,
    ):
        text = io.TextIOWrapper(document, encoding="utf-8", write_through=True)
        for piece in _document(student, places, archive, steps, site):
            text.write(piece)
        text.flush()
        document.seek(0)
        add_copy(archive, "whole-file.json", document, packed=False)
    progress(steps.of, steps.of)


def _places(student: User) -> QuerySet[Enrolment]:
    return (
        Enrolment.objects.filter(user=student, role=Enrolment.Role.STUDENT)
        .select_related("user", "section__term__school__settings", "section__plan")
        .order_by("joined_at", "pk")
    )


def _document(
    student: User,
    places: Sequence[Enrolment],
    archive: zipfile.ZipFile,
    steps: _Steps,
    site: str,
) -> Iterator[str]:
    """Yield the JSON text; what it names is put into the zip on the way."""
    yield f'{{"schema_version": {SCHEMA_VERSION},\n"note": {canonical(_note())},\n'
    yield f'"left_out": {canonical(_left_out())},\n"student": {canonical(student_row(student))},\n'
    yield '"places": [\n'
    for number, place in enumerate(places, start=1):
        yield "" if number == 1 else ",\n"
        folder = _folder(number, place)
        records = _records(place, folder, archive, site)
        yield from _place(place, records, folder, archive, steps)
        steps.step()
    yield "\n]}\n"


def _note() -> str:
    return _("Training records of practice coupons; not a welder qualification.")


def _left_out() -> list[str]:
    return [
        _("Grades that wait to be released, and check tests of those coupons."),
        _("Second gradings, which instructors give without knowing the first grade."),
        _("The password, of which only a scrambled form is stored."),
    ]


def _folder(number: int, place: Enrolment) -> str:
    return f"{number}-{slugify(str(place.section)) or 'section'}"


# --- one section that the student is or was in


def _place(
    place: Enrolment, records: Row, folder: str, archive: zipfile.ZipFile, steps: _Steps
) -> Iterator[str]:
    yield canonical(place_row(place) | records)[:-1] + ', "coupons": [\n'
    between = ""
    for coupon in _coupons(place):
        photos = _photos(coupon, folder, archive)
        yield between + canonical(coupon_row(coupon) | {"photos": photos})
        between = ",\n"
        steps.step()
    yield "\n]}"


def _records(place: Enrolment, folder: str, archive: zipfile.ZipFile, site: str) -> Row:
    """Put the issued records into the zip, and as PDF the newest, or what would be issued now."""
    issued = list(place.records.select_related("issued_by").order_by("issue"))
    for each in issued:
        add(archive, f"{folder}/record-{each.code}.json", each.master.encode())
    pdf = _pdf(place, issued[-1] if issued else None, site)
    name = f"{folder}/record-{issued[-1].code if issued else 'preview'}.pdf"
    if pdf:
        add(archive, name, pdf)
    return {
        "records": [
            {
                "code": each.code,
                "issue": each.issue,
                "issued_by": str(each.issued_by),
                "issued_at": each.issued_at,
                "sha256": each.sha256,
                "withdrawn_at": each.withdrawn_at,
                "withdrawn_reason": each.withdrawn_reason,
                "file": f"{folder}/record-{each.code}.json",
            }
            for each in issued
        ],
        "record_pdf": name if pdf else None,
    }


def _pdf(place: Enrolment, issued: IssuedRecord | None, site: str) -> bytes | None:
    """Return the PDF, or None on a computer that cannot lay PDFs out: the rest is wanted still.

    None is made of a record whose master was changed.
    """
    if issued and not issuing.is_untouched(issued):
        return None
    try:
        paper = exports.paper_of(place.section.term.school.settings)
        if issued:
            return exports.issue_print(issued, site, paper).pdf()
        return exports.pdf(term_record(place), page_size=paper)
    except exports.NoPdf:
        return None


# --- one coupon


def _coupons(place: Enrolment) -> Iterator[Coupon]:
    facts = CouponFacts.objects.select_related("stated_by").prefetch_related(
        "base_metals",
        "runs",
        "cleaning_steps",
        "imperfections",
        "assessments__findings",
    )
    grades = (
        Grade.objects.exclude(released_at=None)
        .select_related("grader", "rubric_version__rubric")
        .prefetch_related("scores__criterion")
    )
    found = Coupon.objects.filter(enrolment=place).select_related(
        "exercise", "logged_by", "section__plan"
    )
    return (
        found.prefetch_related(
            Prefetch("all_facts", facts.order_by("number")),
            Prefetch("grades", grades.order_by("number")),
            Prefetch("check_results", CheckResult.objects.select_related("tested_by")),
            Prefetch("photos", Photo.objects.select_related("added_by").order_by("place")),
        )
        .order_by("number")
        .iterator(chunk_size=COUPONS_AT_ONCE)
    )


def _photos(coupon: Coupon, folder: str, archive: zipfile.ZipFile) -> list[Row]:
    return [
        {
            "description": photo.description,
            "width_px": photo.width_px,
            "height_px": photo.height_px,
            "added_by": str(photo.added_by),
            "added_at": photo.added_at,
            "file": _copied(photo, f"{folder}/coupon-{coupon.number}-{photo.place}.jpg", archive),
        }
        for photo in coupon.photos.all()
    ]


def _copied(photo: Photo, name: str, archive: zipfile.ZipFile) -> str | None:
    """Copy a photo into the zip and return its name there; None where the stored file is lost."""
    try:
        with default_storage.open(photo.file) as stored:
            add_copy(archive, name, _binary(stored), packed=True)
    except FileNotFoundError:
        return None
    return name


def _binary(stored: Any) -> IO[bytes]:
    return stored  # type: ignore[no-any-return]
