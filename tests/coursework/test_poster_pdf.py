"""The poster of a section: one page, the code to scan and to type, and how to join."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coursework import exports
from coursework.label_sheets import PAPERS
from coursework.models import Enrolment, Section, User
from tests.coursework.pdfs import addresses_drawn, fonts, page_mm, read, words

type Sent = dict[str, Any]
type ClientOf = Callable[[User], Client]


@pytest.fixture
def staff(client_of: ClientOf, instructor: User) -> Client:
    return client_of(instructor)


def poster_of(section: Section) -> str:
    return reverse("coursework:poster_pdf", args=[section.pk])


@pytest.mark.pdf
@pytest.mark.django_db
@pytest.mark.parametrize(
    ("units", "asked", "paper"),
    [("shop", {}, "letter"), ("metric", {}, "A4"), ("shop", {"paper": "A4"}, "A4")],
)
def test_the_poster_is_one_page_of_the_paper_at_hand(
    staff: Client, section: Section, units: str, asked: dict[str, str], paper: exports.PageSize
) -> None:
    settings = section.term.school.settings
    settings.units = units
    settings.save()
    pages = read(staff.get(poster_of(section), asked).content).pages
    assert [page_mm(each) for each in pages] == [pytest.approx(PAPERS[paper], abs=0.1)]


@pytest.mark.pdf
@pytest.mark.django_db
def test_the_poster_tells_how_to_join(staff: Client, section: Section) -> None:
    section.join_code_expires_at = datetime(2099, 9, 12, 5, 0, tzinfo=UTC)
    section.joining_needs_approval = True
    section.save()
    made = staff.get(poster_of(section)).content
    text = words(made)
    assert f"{section.join_code[:4]}-{section.join_code[4:]}" in text
    for said in (
        "TernHarborTechnicalInstitute",
        "ALW12,SectionA,Fall2026",
        "opentestserver/joinandtypetheletters",
        "Tellyourinstructor,wholetsyouin.",
        "ThecodeworksuptoandincludingSep11,2099.",
    ):
        assert said in text
    largest = max(float(each[1]) for each in fonts(read(made).pages[0]))
    assert largest == pytest.approx(54, abs=1)


@pytest.mark.django_db
def test_a_code_that_opens_nothing_is_not_printed(staff: Client, section: Section) -> None:
    section.joining_open = False
    section.save()
    answer = staff.get(poster_of(section))
    assert (answer.status_code, "Nobody can join" in answer.text) == (409, True)


@pytest.mark.django_db
def test_without_pango_one_sentence_says_how_to_get_it(
    staff: Client, section: Section, enrolment: Enrolment, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_pdf(*_: object, **__: object) -> bytes:
        raise exports.NoPdf

    monkeypatch.setattr("coursework.shop_prints.write_pdf", no_pdf)
    labels = reverse("coursework:labels_pdf", args=[section.pk])
    chosen: Sent = {"student": enrolment.pk, "preset": "a4-21"}
    for answer in (staff.get(poster_of(section)), staff.get(labels, chosen)):
        assert answer.status_code == 503
        assert "apt-get install libpango-1.0-0" in answer.text


@pytest.mark.pdf
@pytest.mark.django_db
def test_the_code_to_scan_holds_the_join_page_with_the_code(
    staff: Client, section: Section, monkeypatch: pytest.MonkeyPatch
) -> None:
    scanned = addresses_drawn(monkeypatch)
    staff.get(poster_of(section))
    assert scanned == [f"http://testserver/join/?code={section.join_code}"]
    assert f'value="{section.join_code}"' in Client().get(scanned[0]).text
