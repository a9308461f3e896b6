"""The index of the alloy cards: every alloy with how it welds, in a word."""

import re

import pytest
from django.test import Client

from tests.coursework.words import words_on
from weldlog.engine.alloys import ALLOYS

pytestmark = pytest.mark.django_db
PAGE = "/guides/alloys/"


def test_every_alloy_is_there_once_and_leads_to_its_card(client: Client) -> None:
    cards = re.findall(r'href="/guides/alloys/([^"/]+)/"', client.get(PAGE).text)
    assert cards == list(ALLOYS)
    assert len(cards) == 34


@pytest.mark.parametrize(
    ("alloy", "word"),
    [
        # alloy-S21b: 2024 and 7075 are not for arc welding; alloy-S21f: 6061 cracks without filler.
        ("2024", "Not for arc welding"),
        ("7075", "Not for arc welding"),
        ("6061", "Welds with care"),
        ("5052", "Welds readily"),
    ],
)
def test_weldability_is_a_word_beside_its_sign(client: Client, alloy: str, word: str) -> None:
    assert f" {alloy} {word} " in words_on(client.get(PAGE))


def test_the_first_filler_is_that_of_the_filler_guide(client: Client) -> None:
    # alloy-S21c: 4043 or 5356 for 6061; alloy-S1: 5183 for 5083.
    page = client.get(PAGE).text
    assert '<a href="/guides/filler/?alloy=6061">4043</a>' in page
    assert '<a href="/guides/filler/?alloy=5083">5183</a>' in page
    assert "/guides/filler/?alloy=7075" not in page
