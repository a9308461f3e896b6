"""The set-up guide: starting ranges as their sources print them, and nothing lost on an error."""

import re
from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Page, expect

from coursework.views.set_up_guide import all_ranges, cycle, weld_of
from tests.conftest import OpenPage
from tests.coursework.words import words_on

pytestmark = pytest.mark.django_db
PAGE = "/guides/set-up/"
TEE = {"process": "GTAW", "joint": "tee", "thickness_mm": "3.2"}


def said(client: Client, **typed: str) -> str:
    """Return what the page answers to the choice."""
    answer = client.get(f"{PAGE}?{urlencode(typed)}")
    assert answer.status_code == 200
    return words_on(answer).partition("Where to start")[2].partition("What each half")[0]


@pytest.mark.parametrize(
    ("asked", "ranges"),
    [
        # heat-S19, S20, S21, S22: 3.2 mm fillet, 125 to 160 A; the volts are common practice.
        (TEE, ("Current 125–160 A", "Arc volts 10–18 V")),
        # heat-S25: 5 mm fillet, 190 to 220 A, 21 to 23 V.
        (
            {"process": "GMAW", "joint": "tee", "thickness_mm": "5"},
            ("Current 190–220 A", "Arc volts 21–23 V"),
        ),
        # heat-S25, S26: 2 mm square butt, 70 to 110 A.
        ({"process": "GMAW", "joint": "butt", "thickness_mm": "2"}, ("Current 70–110 A",)),
    ],
)
def test_ranges_are_those_of_the_sources(
    client: Client, asked: dict[str, str], ranges: tuple[str, ...]
) -> None:
    text = said(client, **asked).replace("\u00a0", " ")
    text = re.sub(r"\s+", " ", text)
    assert [each for each in ranges if each not in text] == []


def test_each_value_says_what_it_rests_on(client: Client) -> None:
    text = said(client, **TEE)
    current, _, volts = text.partition("Arc volts")
    assert "read : heat-S19" in current
    assert "common practice" in volts.partition("Travel")[0]


@pytest.mark.parametrize("typed", ["3,2", "3.2", " 3.2 mm"])
def test_comma_point_and_unit_read_alike(client: Client, typed: str) -> None:
    assert said(client, **TEE | {"thickness_mm": typed}) == said(client, **TEE)


def test_inches_are_converted(client: Client) -> None:
    # Identity: 0.125 in are 3.175 mm.
    text = said(client, **TEE | {"thickness_mm": "0.125", "thickness_mm_unit": "in"})
    assert "3.18 mm (0.125 in)" in text


def test_beyond_the_sources_there_is_no_number(client: Client) -> None:
    text = said(client, **TEE | {"thickness_mm": "40"})
    assert "No source at hand prints ranges for this thickness" in text
    assert "Current" not in text


def test_what_is_still_wanted_is_named(client: Client) -> None:
    assert "Still wanted: Joint, Thickness." in said(client, process="GTAW")


@pytest.mark.parametrize(
    ("typed", "error"),
    [
        ({"thickness_mm": "3..2"}, "Two decimal marks: 3..2."),
        ({"thickness_mm": "thin"}, "is not a number"),
        ({"thickness_mm": "0"}, "This cannot be zero."),
        ({"en_percent": "130"}, "A share lies between 0 and 100 %."),
    ],
)
def test_an_error_keeps_what_was_typed(client: Client, typed: dict[str, str], error: str) -> None:
    answer = client.get(f"{PAGE}?{urlencode(TEE | typed)}")
    assert answer.status_code == 422
    assert error in words_on(answer)
    for value in (TEE | typed).values():
        assert f'value="{value}"' in answer.text
    assert re.search(r'value="tee"[^>]*checked', answer.text)


def test_hostile_input_is_shown_and_not_run(client: Client) -> None:
    answer = client.get(f"{PAGE}?thickness_mm=<script>alert(1)</script>&joint=<b>")
    assert answer.status_code == 422
    assert "<script>alert" not in answer.text


def test_the_cycle_is_drawn_to_the_balance_and_told(client: Client) -> None:
    page = client.get(f"{PAGE}?en_percent=65").text
    assert "<title" in page
    assert "For 65 % of the time the electrode is negative" in page
    # Two cycles in 100 % of the width: 65 % of one half of it.
    assert [en.width for en, _ep in cycle(65)["halves"]] == [32.5, 32.5]
    assert [ep.width for _en, ep in cycle(65)["halves"]] == [17.5, 17.5]


def test_why_is_answered(client: Client) -> None:
    text = words_on(client.get(PAGE))
    assert "GMAW runs on electrode positive" in text
    assert "Argon does not clean" in text
    # heat-S31: 2.4 mm tungsten, 100 A balanced to 250 A unbalanced.
    assert "2.4 mm (3/32 in) 100–250" in text


def test_a_tee_and_a_lap_start_as_fillets() -> None:
    assert {joint: weld_of(joint) for joint in ("tee", "lap", "butt", "bead_on_plate")} == {
        "tee": "fillet",
        "lap": "fillet",
        "butt": "square_groove",
        "bead_on_plate": "square_groove",
    }


def test_the_table_of_all_ranges_names_a_thickness_once() -> None:
    rows = [(row["process"], row["weld"], row["thickness"]) for row in all_ranges()]
    assert len(rows) == len(set(rows))
    assert ("GTAW", "fillet", "3.2") in rows


def test_htmx_is_given_the_part_alone(client: Client) -> None:
    answer = client.get(f"{PAGE}?{urlencode(TEE)}", headers={"HX-Request": "true"})
    assert "<html" not in answer.text
    assert "Where to start" in answer.text
    assert "HX-Request" in answer["Vary"]


@given(
    thickness=st.text() | st.floats().map(str),
    joint=st.sampled_from(["tee", "butt", ""]) | st.text(),
    process=st.sampled_from(["GTAW", "GMAW", ""]) | st.text(),
    balance=st.text() | st.floats().map(str),
)
def test_whatever_is_typed_is_answered(
    thickness: str, joint: str, process: str, balance: str
) -> None:
    typed: dict[str, Any] = {"thickness_mm": thickness, "joint": joint}
    typed |= {"process": process, "en_percent": balance}
    assert Client().get(PAGE, typed).status_code in {200, 422}


@pytest.mark.django_db(transaction=True)
class TestInABrowser:
    """With script the answer follows each choice; without, the button."""

    def test_the_answer_follows_the_choice_and_can_be_kept(self, phone: Page) -> None:
        phone.goto(PAGE)
        phone.get_by_role("radio", name="GTAW (TIG)").check()
        phone.get_by_role("radio", name="tee").check()
        phone.locator("[name=thickness_mm]").fill("3,2")
        phone.locator("[name=thickness_mm]").press("Tab")
        expect(phone.locator("#answer")).to_contain_text("125–160")
        expect(phone).to_have_url(re.compile("joint=tee"))
        phone.reload()
        expect(phone.locator("#answer")).to_contain_text("125–160")

    def test_without_script_the_button_does_it(self, open_page: OpenPage) -> None:
        page = open_page(java_script_enabled=False)
        page.goto(PAGE)
        page.get_by_role("radio", name="GMAW (MIG)").check()
        page.get_by_role("radio", name="tee").check()
        page.locator("[name=thickness_mm]").fill("5")
        page.get_by_role("button", name="Show where to start").click()
        expect(page.locator("#answer")).to_contain_text("190–220")
