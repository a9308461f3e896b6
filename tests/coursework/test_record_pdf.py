"""The address of an issued record's PDF."""

import io
from collections.abc import Callable
from datetime import UTC, datetime

import pypdf
import pytest
from django.test import Client
from django.urls import reverse

from coursework import access, exports, issuing
from coursework.models import Coupon, IssuedRecord, User

type ClientOf = Callable[[User], Client]


@pytest.fixture
def issued(graded_coupon: Coupon, instructor: User) -> IssuedRecord:
    enrolment = access.enrolments(instructor).get(pk=graded_coupon.enrolment_id)
    noon = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
    return issuing.issue(enrolment, instructor, noon, after_issue=0)


@pytest.mark.pdf
def test_the_student_opens_the_own_pdf_which_leads_to_its_check(
    issued: IssuedRecord, student: User, client_of: ClientOf
) -> None:
    address = reverse("coursework:record_pdf", args=[issued.code])
    response = client_of(student).get(address)
    assert response.headers["Content-Type"] == "application/pdf"
    name = f"term-record-ansa-quill-{issued.code}.pdf"
    assert response.headers["Content-Disposition"] == f'inline; filename="{name}"'
    text = pypdf.PdfReader(io.BytesIO(response.content)).pages[-1].extract_text()
    # Kerned pairs such as VY come out of a PDF with a space between them.
    carried = f"http://testserver/check/{issued.code}/{issued.sha256[:16]}/"
    assert carried in "".join(text.split())


@pytest.mark.pdf
def test_the_pdf_is_made_of_the_master_and_not_of_the_tables(
    issued: IssuedRecord, student: User, client_of: ClientOf
) -> None:
    client, address = client_of(student), reverse("coursework:record_pdf", args=[issued.code])
    before = client.get(address).content
    student.last_name = "Changed"
    student.save()
    Coupon.objects.update(state=Coupon.State.WITHDRAWN)
    assert client.get(address).content == before


def test_without_pango_one_sentence_says_how_to_get_it(
    issued: IssuedRecord,
    student: User,
    client_of: ClientOf,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def no_pdf(*_: object) -> bytes:
        raise exports.NoPdf

    monkeypatch.setattr(exports, "pdf", no_pdf)
    response = client_of(student).get(reverse("coursework:record_pdf", args=[issued.code]))
    assert response.status_code == 503
    assert "apt-get install libpango-1.0-0" in response.content.decode()
