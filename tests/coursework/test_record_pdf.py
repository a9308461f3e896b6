"""The address of an issued record's PDF."""

import io
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pypdf
import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image

from coursework import access, exports, issuing, photos
from coursework.models import Coupon, IssuedRecord, Photo, SchoolSettings, User
from tests.coursework.pdfs import opened, page_mm, read, text

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


# A4 is 210 by 297 mm (ISO 216), Letter 8.5 by 11 in.
A4, LETTER = (210, 297), (215.9, 279.4)


@pytest.mark.pdf
@pytest.mark.parametrize(
    ("units", "asked", "mm"),
    [
        ("shop", "", LETTER),
        ("metric", "", A4),
        ("shop", "?paper=A4", A4),
        ("metric", "?paper=letter", LETTER),
        ("shop", "?paper=napkin", LETTER),
    ],
)
def test_the_paper_is_that_of_the_school_unless_another_is_asked_for(
    issued: IssuedRecord,
    student: User,
    client_of: ClientOf,
    units: str,
    asked: str,
    mm: tuple[float, float],
) -> None:
    SchoolSettings.objects.update(units=units)
    made = client_of(student).get(reverse("coursework:record_pdf", args=[issued.code]) + asked)
    assert page_mm(read(made.content).pages[0]) == pytest.approx(mm, abs=0.1)


@pytest.mark.pdf
@pytest.mark.usefixtures("loud")
def test_a_print_of_a_withdrawn_record_says_so_first(
    issued: IssuedRecord, instructor: User, student: User, client_of: ClientOf
) -> None:
    issuing.withdraw(issued, by=instructor, reason="Wrong student.", at=issued.issued_at)
    made = client_of(student).get(reverse("coursework:record_pdf", args=[issued.code])).content
    (first, *_rest) = [" ".join(page.extract_text().split()) for page in read(made).pages]
    assert "Withdrawn on Nov 20, 2026 by Odo Hale. Do not rely on this record." in first
    assert "Wrong student." in first


@pytest.mark.pdf
def test_photos_of_coupons_that_count_are_printed_small_and_later_ones_are_not(
    graded_coupon: Coupon, instructor: User, student: User, client_of: ClientOf
) -> None:
    noon = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
    for place, added_at in enumerate((noon - timedelta(days=1), noon + timedelta(days=1)), 1):
        _add_photo(graded_coupon, student, place, added_at)
    enrolment = access.enrolments(instructor).get(pk=graded_coupon.enrolment_id)
    issued = issuing.issue(enrolment, instructor, noon, after_issue=0)
    made = client_of(student).get(reverse("coursework:record_pdf", args=[issued.code])).content
    with opened(made) as pdf:
        # Each page names what any page draws: one photo is one picture of the file.
        pictures = {each.objgen: each for page in pdf.pages for each in page.get_images().values()}
        (picture,) = pictures.values()
        assert str(picture.Filter) == "/DCTDecode"
        assert (int(picture.Width), int(picture.Height)) == (448, 336)
    assert "Bead 1" in text(made)
    assert "Bead 2" not in text(made)


def _add_photo(coupon: Coupon, by: User, place: int, added_at: datetime) -> None:
    made = io.BytesIO()
    Image.new("RGB", (1600, 1200), (90 * place, 90, 90)).save(made, "JPEG")
    stored = photos.store(io.BytesIO(made.getvalue()), len(made.getvalue()))
    Photo.objects.create(
        coupon=coupon,
        place=place,
        file=stored.name,
        description=f"Bead {place}",
        width_px=stored.width_px,
        height_px=stored.height_px,
        size_bytes=stored.size_bytes,
        added_by=by,
        added_at=added_at,
    )


def test_without_pango_one_sentence_says_how_to_get_it(
    issued: IssuedRecord,
    student: User,
    client_of: ClientOf,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def no_pdf(*_: object, **__: object) -> bytes:
        raise exports.NoPdf

    monkeypatch.setattr("coursework.exports.record_pdf.write_pdf", no_pdf)
    response = client_of(student).get(reverse("coursework:record_pdf", args=[issued.code]))
    assert response.status_code == 503
    assert "apt-get install libpango-1.0-0" in response.content.decode()
