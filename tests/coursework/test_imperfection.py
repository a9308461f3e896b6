"""The page of one imperfection: drawings, causes in order, limits with standing, one sheet."""

from io import BytesIO
from typing import Any

import pytest
from django.test import Client
from playwright.sync_api import Page
from pypdf import PdfReader

from tests.coursework.words import words_on
from weldlog.engine.causes import CAUSES, causes_in_order, usual_causes
from weldlog.engine.imperfection_list import IMPERFECTIONS, by_key

pytestmark = pytest.mark.django_db
KEYS = [kind.key for kind in IMPERFECTIONS]


def said(client: Client, key: str) -> str:
    answer = client.get(f"/guides/imperfections/{key}/")
    assert answer.status_code == 200
    return words_on(answer)


@pytest.mark.parametrize("key", KEYS)
def test_every_kind_has_a_page_without_a_query(
    client: Client, key: str, django_assert_num_queries: Any
) -> None:
    kind = by_key(key)
    assert kind is not None
    with django_assert_num_queries(0):
        text = said(client, key)
    assert kind.see in text
    assert "Likely causes" in text
    assert "What the classroom set allows" in text


@pytest.mark.parametrize("key", ["no_such_thing", "501"])
def test_what_is_not_in_the_list_is_not_there(client: Client, key: str) -> None:
    assert client.get(f"/guides/imperfections/{key}/").status_code == 404


def test_prep_CV04_undercut_up_to_a_tenth_of_the_thickness(client: Client) -> None:
    # prep-S2, read: undercut no deeper than 10 percent of the thickness.
    text = said(client, "undercut")
    assert "Up to 0.1 × thickness read : prep-S2" in text.replace("read:", "read :")


def test_prep_CV01_a_crack_has_no_size_that_is_allowed(client: Client) -> None:
    # prep-S2, read: no cracks, whatever their length.
    assert "What the classroom set allows None" in said(client, "crack")


def test_iso_10042_is_marked_as_from_memory(client: Client) -> None:
    # Row Q11 of the preparation notes, from memory (memory-iso-10042): level B allows
    # 1.5 mm + 0.1 b, at most 6 mm.
    text = said(client, "excess_weld_metal")
    _, _, iso = text.partition("ISO 10042, from memory: check your copy")
    assert "B 502 Up to 1.5 mm" in iso
    assert "at most 6 mm" in iso
    assert "No review uses a row before your school has held it against its own copy." in iso


def test_levels_come_strictest_first(client: Client) -> None:
    _, _, iso = said(client, "excess_weld_metal").partition("from memory: check your copy")
    assert iso.index("at most 6 mm") < iso.index("at most 8 mm") < iso.index("at most 10 mm")


def test_a_kind_without_a_limit_says_so(client: Client) -> None:
    assert "no limit for this one: ask your instructor" in said(client, "soot")


def test_causes_come_strongest_first_and_all_of_them() -> None:
    pore = by_key("pore_surface")
    assert pore is not None
    found = causes_in_order(pore)
    assert [row.strength for row in found] == sorted((r.strength for r in found), reverse=True)
    # A surface pore shares the causes of gas cavities.
    assert set(found) >= {row for row in CAUSES if "pore" in row.imperfections}
    assert found[:3] == usual_causes(pore)


def test_a_cause_says_what_to_check_and_for_which_process(client: Client) -> None:
    # prep-S32: a tungsten that touched leaves a bit behind; only GTAW has one.
    text = said(client, "tungsten")
    assert "Strength" not in text
    assert "Check that the tungsten stays clear of pool and rod. GTAW only" in text


def test_numbers_say_whether_they_were_read(client: Client) -> None:
    text = said(client, "undercut").replace("read:", "read :")
    assert "ISO 6520-1: 501 read : prep-S1" in text
    assert "5011, 5012 from memory" in text


def test_soot_claims_no_number(client: Client) -> None:
    assert "ISO 6520-1" not in said(client, "soot").partition("How to see it")[2]


@pytest.mark.django_db(transaction=True)
class TestOnPaper:
    """Each kind is one sheet for the wall of the booth, on either paper."""

    @pytest.mark.parametrize("paper", ["A4", "Letter"])
    @pytest.mark.parametrize("key", ["undercut", "pore_surface", "underfill"])
    def test_one_sheet(self, laptop: Page, key: str, paper: str) -> None:
        # Those with most to say: nine rows of limits, most causes, three drawings.
        laptop.goto(f"/guides/imperfections/{key}/")
        assert len(PdfReader(BytesIO(laptop.pdf(format=paper))).pages) == 1

    @pytest.mark.long
    def test_every_kind_is_one_sheet(self, laptop: Page) -> None:
        pages = {}
        for key in KEYS:
            laptop.goto(f"/guides/imperfections/{key}/")
            pages[key] = len(PdfReader(BytesIO(laptop.pdf(format="Letter"))).pages)
        assert {key for key, number in pages.items() if number > 1} == set()

    def test_the_index_is_one_sheet(self, laptop: Page) -> None:
        laptop.goto("/guides/imperfections/")
        assert len(PdfReader(BytesIO(laptop.pdf(format="Letter"))).pages) == 1
