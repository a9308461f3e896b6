"""The filler guide: best first, with reasons, and no offer where there should be none."""

import re
from typing import Any

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Page, expect

from coursework.views.filler_guide import common_pairs, with_links
from tests.conftest import OpenPage
from tests.coursework.words import words_on
from weldlog.engine.alloys import ALLOYS

pytestmark = pytest.mark.django_db
PAGE = "/guides/filler/"


def said(client: Client, asked: str) -> str:
    answer = client.get(f"{PAGE}?{asked}")
    assert answer.status_code == 200
    return words_on(answer)


@pytest.mark.parametrize(
    ("asked", "first"),
    [
        # alloy-S21c, alloy-S22: 4043 or 5356 for 6061; alloy-S1, table 3.3: 4043 against cracks.
        ("alloy=6061", "4043"),
        # alloy-S21b, alloy-S1: 5083 needs 5183 or 5556 to be sure of the strength of the joint.
        ("alloy=5083", "5183"),
        # alloy-S1: an Al-Mg filler where 5083 meets 6061, since silicon would make Mg2Si.
        ("alloy=5083&other=6061", "5356"),
        # alloy-S21c: 4043 turns dark when anodized, 5356 stays close in color.
        ("alloy=6061&anodised_after=on", "5356"),
        # alloy-S21e: 4643 answers to solution treatment in thick parts.
        ("alloy=6061&heat_treated_after=on", "4643"),
    ],
)
def test_the_charts_first_choice_comes_first(client: Client, asked: str, first: str) -> None:
    text = said(client, asked)
    assert f" {first} First choice " in text
    assert text.count("First choice") == 1
    assert text.index("First choice") < text.index("Acceptable")


def test_the_order_of_the_sides_changes_nothing(client: Client) -> None:
    def offers(asked: str) -> str:
        return said(client, asked).partition("Welds")[2]

    assert offers("alloy=5083&other=6061") == offers("alloy=6061&other=5083")


def test_the_second_alloy_alone_is_both_sides(client: Client) -> None:
    assert " 4043 First choice " in said(client, "other=6061")


def test_warm_service_rules_out_what_holds_much_magnesium(client: Client) -> None:
    # alloy-S21c, alloy-S25: no filler above 3 % magnesium for long above 65 degrees C.
    assert " 5356 Do not use " in said(client, "alloy=6061&above_65_c=on")
    assert " 5356 Acceptable " in said(client, "alloy=6061")


def test_an_offer_shows_its_source_and_whether_that_was_read(client: Client) -> None:
    page = client.get(f"{PAGE}?alloy=6061").text
    assert 'href="/sources/#alloy-S21c"' in page
    assert "(read)." in page


def test_sources_that_differ_are_named_and_linked(client: Client) -> None:
    # alloy-S1, table 3.3: 5356 for strength, 4043 for salt water and cracks.
    answer = client.get(f"{PAGE}?alloy=6061")
    assert "Sources differ: alloy-S1 : 5356 for strength" in words_on(answer)
    assert '<a href="/sources/#alloy-S1">alloy-S1</a>' in answer.text


def test_a_longer_key_is_not_taken_for_a_shorter_one() -> None:
    assert with_links("alloy-S21g & co.") == (
        '<a href="/sources/#alloy-S21g">alloy-S21g</a> &amp; co.'
    )


def test_plain_grades_stand_side_by_side_each_with_its_name(client: Client) -> None:
    # alloy-S21c: 4043 turns gray-black when anodized; 5356 stays close on 6xxx.
    page = client.get(f"{PAGE}?alloy=6061").text
    rows = {part.partition("<")[0]: part for part in page.split('<th scope="row">')[1:]}
    assert '<td data-name="anodized color">poor</td>' in rows["4043"]
    assert '<td data-name="anodized color">good</td>' in rows["5356"]


@pytest.mark.parametrize("asked", ["alloy=2024", "alloy=7075", "alloy=6061&other=2024"])
def test_what_should_not_be_welded_says_so_and_offers_nothing(client: Client, asked: str) -> None:
    # alloy-S21b: 2024 and 7075 are not for arc welding, whatever the filler.
    text = said(client, asked)
    assert "Stop: Not recommended for arc welding, whatever the filler" in text
    assert not any(word in text for word in ("First choice", "Acceptable", "With care"))


@pytest.mark.parametrize("asked", ["alloy=unknown", "alloy=6061&other=unknown"])
def test_an_unknown_alloy_gets_no_verdict_but_a_way_to_find_out(client: Client, asked: str) -> None:
    text = said(client, asked)
    assert "No verdict: the alloy is not known." in text
    assert "Read the stamp, the label or the certificate" in text
    assert not any(word in text for word in ("First choice", "Acceptable", "Do not use"))


def test_an_alloy_leads_to_its_card(client: Client) -> None:
    assert 'href="/guides/alloys/5083/"' in client.get(f"{PAGE}?alloy=5083&other=6061").text


def test_common_pairs_are_those_of_the_charts_in_either_order() -> None:
    # alloy-S1, table 3.3: 5356 where 5083 meets 6061; alloy-S21c: 4043 for 6061 with itself.
    first = {(one, other): filler for one, row in common_pairs() for other, filler in row}
    assert first["5083", "6061"] == "5356"
    assert first["6061", "6061"] == "4043"
    assert all(first[one, other] == first[other, one] for one, other in first)


def test_nothing_chosen_is_no_error(client: Client) -> None:
    assert "Choose an alloy." in said(client, "alloy=&other=")


def test_htmx_is_given_the_part_alone(client: Client) -> None:
    answer = client.get(f"{PAGE}?alloy=6061", headers={"HX-Request": "true"})
    assert "<html" not in answer.text
    assert " 4043 First choice " in words_on(answer)
    assert "HX-Request" in answer["Vary"]


def test_an_alloy_that_is_not_in_the_list_is_an_error_beside_its_field(client: Client) -> None:
    answer = client.get(f"{PAGE}?alloy=<script>alert(1)</script>")
    assert answer.status_code == 422
    assert "<script>alert" not in answer.text
    assert 'href="#id_alloy"' in answer.text


@given(alloy=st.sampled_from([*ALLOYS, "unknown", ""]) | st.text(), service=st.text())
def test_whatever_is_asked_is_answered(alloy: str, service: str) -> None:
    asked: dict[str, Any] = {"alloy": alloy, "other": "6061", "anodised_after": service}
    assert Client().get(PAGE, asked).status_code in {200, 422}


@pytest.mark.django_db(transaction=True)
class TestInABrowser:
    """With script the answer follows each choice; without, the button."""

    def test_the_answer_follows_the_choice_and_can_be_kept(self, phone: Page) -> None:
        phone.goto(PAGE)
        phone.get_by_label("First alloy").select_option("6061")
        expect(phone.get_by_text("First choice")).to_be_visible()
        expect(phone).to_have_url(re.compile("alloy=6061"))
        phone.reload()
        expect(phone.get_by_text("First choice")).to_be_visible()

    def test_without_script_the_button_does_it(self, open_page: OpenPage) -> None:
        page = open_page(java_script_enabled=False)
        page.goto(PAGE)
        page.get_by_label("First alloy").select_option("6061")
        page.get_by_role("button", name="Show the fillers").click()
        expect(page.get_by_text("First choice")).to_be_visible()
        expect(page.get_by_label("First alloy")).to_have_value("6061")
