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
from django.forms.models import model_to_dict
from django.utils.text import slugify
from django.utils.translation import gettext as _

from coursework import exports
from coursework.export_writing import Progress, add, add_copy, canonical
from coursework.models import (
    Assessment,
    CheckResult,
    Coupon,
    CouponFacts,
    Enrolment,
    Finding,
    Grade,
    IssuedRecord,
    Photo,
    User,
)
from coursework.record import from_master
from coursework.record_making import term_record

SCHEMA_VERSION: Final = 1
COUPONS_AT_ONCE: Final = 20

type Row = dict[str, Any]


@dataclass(slots=True)
class _Steps:
    """Counts the steps of one file: coupons and places."""

    of: int
    progress: Progress
    done: int = field(default=0)

    def step(self) -> None:
        self.done += 1
        self.progress(self.done, self.of)


def write_whole_file(student: User, to: Path, progress: Progress) -> None:
    """Write everything about a student to a zip.

    Parameters
    ----------
    student : User
        Whose file it is, in all sections that they are or were in.
    to : Path
        Where to write.
    progress : function
        Told after every coupon and every section; see ``export_kinds``.
    """
    places = list(_places(student))
    coupons = Coupon.objects.filter(enrolment__in=places).count()
    steps = _Steps(coupons + len(places) or 1, progress)
    with (
        zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as archive,
        tempfile.TemporaryFile(dir=to.parent) as document,
    ):
        text = io.TextIOWrapper(document, encoding="utf-8", write_through=True)
        for piece in _document(student, places, archive, steps):
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
    student: User, places: Sequence[Enrolment], archive: zipfile.ZipFile, steps: _Steps
) -> Iterator[str]:
    """Yield the JSON text; what it names is put into the zip on the way."""
    yield f'{{"schema_version": {SCHEMA_VERSION},\n"note": {canonical(_note())},\n'
    yield f'"left_out": {canonical(_left_out())},\n"student": {canonical(_student(student))},\n'
    yield '"places": [\n'
    for number, place in enumerate(places, start=1):
        yield "" if number == 1 else ",\n"
        yield from _place(place, _folder(number, place), archive, steps)
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


def _student(student: User) -> Row:
    return {
        "name": str(student),
        "first_name": student.first_name,
        "last_name": student.last_name,
        "username": student.username,
        "email": student.email,
        "student_number": student.student_number,
        "source_id": student.source_id,
        "school": student.school.name if student.school else "",
        "made_at": student.date_joined,
        "last_sign_in_at": student.last_login,
    }


def _folder(number: int, place: Enrolment) -> str:
    return f"{number}-{slugify(str(place.section)) or 'section'}"


# --- one section that the student is or was in


def _place(place: Enrolment, folder: str, archive: zipfile.ZipFile, steps: _Steps) -> Iterator[str]:
    head = _place_head(place) | _records(place, folder, archive)
    yield canonical(head)[:-1] + ', "coupons": [\n'
    between = ""
    for coupon in _coupons(place):
        photos = _photos(coupon, folder, archive)
        yield between + canonical(_coupon(coupon) | {"photos": photos})
        between = ",\n"
        steps.step()
    yield "\n]}"


def _place_head(place: Enrolment) -> Row:
    section = place.section
    return {
        "course": f"{section.plan.code} {section.plan.title}",
        "section": section.name,
        "term": section.term.name,
        "term_starts_on": section.term.starts_on,
        "term_ends_on": section.term.ends_on,
        "joined_at": place.joined_at,
        "left_at": place.left_at,
        "waits_for_approval": place.waits_for_approval,
        "moves": [
            {
                "from_section": str(each.from_section),
                "to_section": str(each.to_section),
                "moved_by": str(each.moved_by),
                "moved_at": each.moved_at,
                "reason": each.reason,
            }
            for each in place.moves.select_related(
                "from_section__plan", "to_section__plan", "moved_by"
            )
        ],
        "sign_offs": [
            {
                "exercise": str(each.exercise),
                "signed_by": str(each.signed_by),
                "signed_at": each.signed_at,
            }
            for each in place.sign_offs.select_related("exercise", "signed_by").order_by(
                "exercise__place", "pk"
            )
        ],
    }


def _records(place: Enrolment, folder: str, archive: zipfile.ZipFile) -> Row:
    """Put the issued records into the zip, and as PDF the newest, or what would be issued now."""
    issued = list(place.records.select_related("issued_by").order_by("issue"))
    for each in issued:
        add(archive, f"{folder}/record-{each.code}.json", each.master.encode())
    pdf = _pdf(place, issued[-1] if issued else None)
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
                "file": f"{folder}/record-{each.code}.json",
            }
            for each in issued
        ],
        "record_pdf": name if pdf else None,
    }


def _pdf(place: Enrolment, issued: IssuedRecord | None) -> bytes | None:
    """Return the PDF, or None on a computer that cannot lay PDFs out: the rest is wanted still."""
    try:
        if issued:
            return exports.pdf(from_master(issued.master), issued.sha256)
        return exports.pdf(term_record(place))
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


def _coupon(coupon: Coupon) -> Row:
    held = coupon.state == Coupon.State.HELD
    return {
        "number": coupon.number,
        "exercise": str(coupon.exercise),
        "section": str(coupon.section),
        "state": Coupon.State.HANDED_IN.value if held else coupon.state,
        "handed_in_at": coupon.handed_in_at,
        "logged_by": str(coupon.logged_by or ""),
        "predicted_level": coupon.predicted_level,
        "stated": [_stated(each) for each in coupon.all_facts.all()],
        "grades": [_grade(each) for each in coupon.grades.all()],
        "check_tests": [] if held else [_check_test(each) for each in coupon.check_results.all()],
    }


def _stated(facts: CouponFacts) -> Row:
    return {
        "number": facts.number,
        "stated_by": str(facts.stated_by),
        "stated_at": facts.stated_at,
        "typed": facts.typed,
        "arc_time_timed": facts.arc_time_timed,
        "reason": facts.reason,
        "facts": facts.document(),
        "assessments": [_assessment(each) for each in facts.assessments.all()],
    }


def _assessment(assessment: Assessment) -> Row:
    members = ("edition", "assessed_at", "figures", "causes", "acceptance", "not_assessed")
    rest = ("cautions", "next_try")
    return {name: getattr(assessment, name) for name in members + rest} | {
        "findings": [_finding(each) for each in assessment.findings.all()]
    }


def _finding(finding: Finding) -> Row:
    return model_to_dict(finding, exclude=["id", "assessment", "place"])


def _grade(grade: Grade) -> Row:
    members = ("number", "graded_at", "released_at", "undone_at", "decision", "level", "weighted")
    words = ("capped_by", "comment", "reason", "repeat")
    return {name: getattr(grade, name) for name in members + words} | {
        "graded_by": str(grade.grader),
        "rubric": str(grade.rubric_version),
        "scores": [
            {"criterion": each.criterion.title, "level": each.level} for each in grade.scores.all()
        ],
    }


def _check_test(result: CheckResult) -> Row:
    members = ("number", "kind", "passed", "largest_opening_mm", "note", "tested_at")
    return {name: getattr(result, name) for name in members} | {"tested_by": str(result.tested_by)}


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
