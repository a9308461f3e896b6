"""The index of the shop guides: what there is, and the cautions of this work."""

from typing import Any

import pytest
from django.test import Client

from tests.coursework.words import words_on

pytestmark = pytest.mark.django_db
OPEN = (
    "/guides/",
    "/guides/cleaning/",
    "/guides/set-up/?process=GTAW&joint=tee&thickness_mm=3.2",
    "/guides/alloys/",
    "/guides/alloys/6061/",
    "/guides/filler/?alloy=6061",
    "/guides/heat/?voltage_v=24",
    "/sources/",
    "/help/",
)


@pytest.mark.parametrize("page", OPEN)
def test_open_to_everybody_without_a_query(
    client: Client, page: str, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(0):
        answer = client.get(page)
    assert answer.status_code == 200


@pytest.mark.parametrize(
    "page",
    [
        "/guides/cleaning/",
        "/guides/set-up/",
        "/guides/filler/",
        "/guides/heat/",
        "/guides/alloys/",
        "/sources/",
    ],
)
def test_every_guide_is_in_the_index(client: Client, page: str) -> None:
    assert f'href="{page}"' in client.get("/guides/").text


def test_the_cautions_are_there_with_the_documents_that_govern_them(client: Client) -> None:
    # prep-S40: argon collects low. 29 CFR 1910.146 is OSHA's rule for permit-required confined
    # spaces (memory-osha).
    text = words_on(client.get("/guides/"))
    assert "Argon is heavier than air" in text
    assert "29 CFR 1910.146" in text
    assert "the safety data sheet and licensed practice come before this page" in text


def test_what_one_process_asks_for_stands_under_its_name(client: Client) -> None:
    # prep-S37: lens shade at least 8 up to 150 A for GTAW, at least 10 from 60 A for GMAW.
    always, of_gtaw = words_on(client.get("/guides/")).split("GTAW (TIG)")
    of_gtaw, of_gmaw = of_gtaw.split("GMAW (MIG)")
    assert "Filter shade at least 8 up to 150 A" in of_gtaw
    assert "Filter shade at least 10 from 60 A" in of_gmaw
    assert "Filter shade" not in always


@pytest.mark.parametrize(
    "page", ["/guides/filler/?alloy=6061", "/guides/heat/", "/guides/cleaning/"]
)
def test_a_guide_leads_to_the_cautions(client: Client, page: str) -> None:
    assert 'href="/guides/#cautions"' in client.get(page).text
    assert 'id="cautions"' in client.get("/guides/").text
