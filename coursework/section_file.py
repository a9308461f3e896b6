"""The records of a whole section in one file: bound as a PDF, or a PDF and a JSON for each student.

Both hold the newest issue of the section's record, and of each student exactly the issue that it
names. They are made student by student and go to the disk as they are made, so that a large class
takes no more memory than a small one. Equal records give equal bytes.
"""

import zipfile
from pathlib import Path

from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from coursework import issuing, record_checking, section_issuing
from coursework.export_writing import NotMade, Progress, add
from coursework.exports import file_name, issue_print, paper_of
from coursework.exports.paper import PageSize
from coursework.exports.pdf_volume import Volume
from coursework.exports.record_pdf import Print, attached_master, page_styles, record_styles
from coursework.models import IssuedRecord, IssuedSectionRecord, Section
from coursework.record import from_master
from coursework.record_section import from_master as from_section_master
from coursework.section_sheet import section_sheet


def write_section_pdf(
    section: Section,
    to: Path,
    progress: Progress,
    *,
    site: str,
    page_size: PageSize | None = None,
) -> None:
    """Write one PDF: the matrix of the section, then the record of each student.

    Parameters
    ----------
    section : Section
        With its term, school and settings at hand, as ``access`` gives it.
    to : Path
        Where to write.
    progress : callable
        Told how many students are done, of how many, after each of them.
    site : str
        The address of the site, such as ``https://weldlog.example``, for the codes to scan.
    page_size : "A4", "letter" or None
        The paper; None for that of the school's units.

    Raises
    ------
    NotMade
        When there is no record of the section, or it is withdrawn, or a master was changed.
    NoPdf
        When Pango is missing.
    """
    paper = page_size or paper_of(section.term.school.settings)
    issued = _newest(section)
    codes = _codes(issued)
    with to.open("wb") as out:
        volume = Volume(out)
        _bind(volume, section_print(issued, site, paper))
        for done, code in enumerate(codes, start=1):
            _bind(volume, issue_print(_record(code), site, paper))
            progress(done, len(codes))
        volume.close()


def write_section_zip(
    section: Section,
    to: Path,
    progress: Progress,
    *,
    site: str,
    page_size: PageSize | None = None,
) -> None:
    """Write a zip of PDF and JSON master, of the section and of each student.

    Its parameters and errors are those of :func:`write_section_pdf`.
    """
    paper = page_size or paper_of(section.term.school.settings)
    issued = _newest(section)
    codes = _codes(issued)
    with zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as archive:
        name = f"section-record-{issued.code}"
        _put(archive, name, issued, section_print(issued, site, paper))
        for done, code in enumerate(codes, start=1):
            record = _record(code)
            name = file_name(from_master(record.master), "pdf").removesuffix(".pdf")
            _put(archive, name, record, issue_print(record, site, paper))
            progress(done, len(codes))


def section_print(issued: IssuedSectionRecord, site: str, page_size: PageSize) -> Print:
    """Return the print of a section's record alone: the matrix."""
    address = site.rstrip("/") + record_checking.check_path(issued)
    page = render_to_string("coursework/section_print.html", section_sheet(issued, address))
    return Print(
        page,
        (record_styles(), page_styles(page_size)),
        (attached_master(issued.code, issued.master, issued.issued_at),),
    )


def _newest(section: Section) -> IssuedSectionRecord:
    issued = section_issuing.latest(section)
    if issued is None:
        raise NotMade(
            _("No record of this section is issued yet. Issue all its records, then ask again.")
        )
    if issued.withdrawn_at:
        raise NotMade(
            _("The newest record of this section is withdrawn. Issue it anew, then ask again.")
        )
    return _sound(issued)


def _sound[Record: (IssuedRecord, IssuedSectionRecord)](issued: Record) -> Record:
    """Return a record whose master was not changed since it was issued."""
    if not issuing.is_untouched(issued):
        raise NotMade(
            _(
                "The stored text of record %(code)s no longer matches its fingerprint. No file is "
                "made of it; tell your coordinator."
            )
            % {"code": issued.code}
        )
    return issued


def _codes(issued: IssuedSectionRecord) -> list[str]:
    return [each.record_code for each in from_section_master(issued.master).students]


def _record(code: str) -> IssuedRecord:
    return _sound(IssuedRecord.objects.select_related("withdrawn_by").get(code=code))


def _bind(volume: Volume, made: Print) -> None:
    volume.add(made.page, *made.styles, attached=made.attached)


def _put(
    archive: zipfile.ZipFile,
    name: str,
    issued: IssuedRecord | IssuedSectionRecord,
    made: Print,
) -> None:
    add(archive, f"{name}.pdf", made.pdf(), issued.issued_at)
    add(archive, f"{name}.json", issued.master.encode(), issued.issued_at)
