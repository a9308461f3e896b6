"""The records of a section, bound or zipped, asked for on its page of exports."""

import io
import zipfile
from collections.abc import Callable

import pypdf
import pytest
from django.test import Client

from coursework import access, section_issuing
from coursework.export_clearing import storage
from coursework.models import Enrolment, ExportFile, Section, User
from tests.coursework.words import words_on
from tests.factories import MOMENT

pytestmark = pytest.mark.django_db


def ask(browser: Client, section: Section, kind: str) -> ExportFile:
    address = f"/sections/{section.pk}/exports/"
    assert f'action="{address}{kind}/ask/"' in browser.get(address).text
    browser.post(f"{address}{kind}/ask/")
    return ExportFile.objects.get()


@pytest.mark.parametrize("kind", ["section_pdf", "section_zip"])
def test_without_an_issued_record_a_sentence_says_what_to_do(
    kind: str, client_of: Callable[[User], Client], instructor: User, section: Section
) -> None:
    browser = client_of(instructor)
    assert ask(browser, section, kind).state == ExportFile.State.FAILED
    assert "Issue all its records, then ask again." in words_on(browser.get("/files/"))


@pytest.mark.pdf
@pytest.mark.usefixtures("classmate")
def test_issued_records_come_bound_and_in_a_zip(
    client_of: Callable[[User], Client],
    instructor: User,
    enrolment: Enrolment,
) -> None:
    section = enrolment.section
    students = list(access.enrolments(instructor).filter(section=section))
    section_issuing.issue(section, students, instructor, MOMENT, after_issue=0)
    bound = ask(client_of(instructor), section, "section_pdf")
    with storage().open(bound.file) as file:
        text = "".join(
            page.extract_text() for page in pypdf.PdfReader(io.BytesIO(file.read())).pages
        )
    assert "Ansa Quill" in text
    assert "Tansy" in text
    ExportFile.objects.all().delete()
    zipped = ask(client_of(instructor), section, "section_zip")
    with storage().open(zipped.file) as file:
        names = zipfile.ZipFile(io.BytesIO(file.read())).namelist()
    assert len([each for each in names if each.endswith(".pdf")]) == 3
