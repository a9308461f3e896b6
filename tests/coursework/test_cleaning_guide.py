"""The cleaning guide: the order, every step, and what may touch the joint."""

import re

import pytest
from django.test import Client

from tests.coursework.words import words_on
from weldlog.engine.guide_tables import CLEANING_METHODS, PREPARATION_STEPS

pytestmark = pytest.mark.django_db
PAGE = "/guides/cleaning/"


@pytest.fixture
def text(client: Client) -> str:
    """Give what the page says."""
    return words_on(client.get(PAGE))


def test_oil_goes_before_oxide_and_the_weld_comes_last(text: str) -> None:
    # prep-S1, prep-S2, prep-S19: degrease, then brush; weld soon after.
    plan = text.partition("The 26 steps")[0]
    order = ("Degrease", "Let it dry", "Take off the oxide", "Wipe", "Cover", "Weld in time")
    places = [plan.index(each) for each in order]
    assert places == sorted(places)


def test_all_steps_and_methods_are_there(client: Client) -> None:
    page = client.get(PAGE)
    text = words_on(page)
    assert len(PREPARATION_STEPS) == 26
    assert all(re.sub(r"\s+", " ", step.step) in text for step in PREPARATION_STEPS)
    assert all(method.method in text for method in CLEANING_METHODS)


def test_the_window_is_four_hours_read_and_eight_by_practice(text: str) -> None:
    # prep-S1, p. 68: about 4 h; 8 h is common practice, no source.
    assert "Within 4 h of taking off the oxide" in text
    assert "After 8 h" in text
    assert "The school can set its own hours" in text


@pytest.mark.parametrize(
    ("tool", "word"),
    [
        # prep-S1, p. 66: stainless only, kept for aluminum; scraping is excellent.
        ("Stainless hand brush", "Yes"),
        ("Scraper", "Yes"),
        ("Carbon-steel brush", "No"),
        ("Brass or copper brush", "No"),
        # prep-S41: no bench stone or bonded wheel.
        ("Bonded grinding wheel", "No"),
        # prep-S14 against, prep-S19 and prep-S3 for: sources differ.
        ("Power wire wheel", "With care"),
    ],
)
def test_a_tool_has_a_word_beside_its_sign(text: str, tool: str, word: str) -> None:
    tools = text.partition("Tools on the joint")[2]
    assert re.search(rf"{word} {tool}", tools)


def test_water_forms_by_the_printed_table(text: str) -> None:
    # prep-S17: 5 K colder, above 70 %; 10 K, above 50 %.
    assert "70 % 5 °C, 9 °F" in text
    assert "50 % 10 °C, 18 °F" in text


def test_what_stood_in_the_wet_is_scraped(text: str) -> None:
    # prep-S36b: a film grown moist goes on to thicken.
    assert "Outdoors. Thick, damp oxide: scrape, file or mill to bright metal, then brush." in text


def test_cautions_defer_to_school_and_data_sheet(client: Client) -> None:
    page = client.get(PAGE)
    cautions = words_on(page).partition("Cautions")[2]
    assert "the safety data sheet" in cautions
    assert "phosgene" in cautions
    assert 'href="/guides/#cautions"' in page.text


def test_what_is_only_practice_says_so(text: str) -> None:
    assert "common practice" in text
    assert "from memory" in text
