"""An alloy card: limits, melting range, strength and warnings, each with what it rests on."""

import re

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from coursework.extents import extent, round_end
from coursework.views.alloy import composition, melting, strength
from tests.coursework.words import words_on
from weldlog.engine.alloys import ALLOYS

pytestmark = pytest.mark.django_db


def said(client: Client, alloy: str) -> str:
    answer = client.get(f"/guides/alloys/{alloy}/")
    assert answer.status_code == 200
    return words_on(answer)


@pytest.mark.parametrize("alloy", ALLOYS)
def test_every_card_opens_and_every_source_is_linked(client: Client, alloy: str) -> None:
    page = client.get(f"/guides/alloys/{alloy}/").text
    keys = {key for keys in ALLOYS[alloy].sources.values() for key in keys}
    assert keys <= set(re.findall(r'href="/sources/#([^"]+)"', page)) | {"practice"}


def test_limits_and_nominal_content_stand_in_the_table(client: Client) -> None:
    # alloy-S6: 6061 with 0.40 to 0.8 % Si and 0.8 to 1.2 % Mg; alloy-S8: 0.6 and 1.0 nominal.
    text = said(client, "6061")
    assert "Si 0.4–0.8 0.6" in text
    assert "Mg 0.8–1.2 1" in text
    assert "Fe up to 0.7 –" in text


def test_a_bar_reaches_from_limit_to_limit() -> None:
    silicon = composition(ALLOYS["6061"])["rows"][0]["bar"]
    assert (silicon.start, silicon.end, silicon.mark) == pytest.approx((20, 40, 30))


def test_the_metal_melts_far_below_its_oxide(client: Client) -> None:
    # alloy-S2, S9: 582 to 652 °C, printed there as 1080 to 1205 °F; prep-S18: near 2050 °C.
    text = said(client, "6061")
    assert "from 582–652 °C (1080–1206 °F)" in text
    assert "near 2050 °C (3722 °F)" in text
    drawn = melting(ALLOYS["6061"])
    assert drawn["range"].end < drawn["oxide"] / 3


def test_the_joint_is_weaker_than_the_plate(client: Client) -> None:
    # alloy-S2: 310 MPa (45 ksi); alloy-S11: welded 165 MPa (24 ksi).
    text = said(client, "6061")
    assert "Base metal T6, tensile read : alloy-S2 310 45" in text
    assert "Welded joint, least tensile read : alloy-S11 , alloy-S29 165 24" in text


def test_what_is_not_known_is_left_out() -> None:
    # No source at hand prints a welded strength for 7020.
    assert not any("joint" in row["name"] for row in strength(ALLOYS["7020"]))


def test_a_remembered_value_says_so(client: Client) -> None:
    # The typical strength of 5754 is remembered from EN 485-2.
    assert "from memory : memory-en-485-2" in said(client, "5754")


def test_a_doubt_is_shown(client: Client) -> None:
    assert "Doubtful: melting range within 5 °C." in said(client, "5754")


@pytest.mark.parametrize(
    ("alloy", "warning"),
    [
        # alloy-S21f: 6061 cracks along the weld without filler.
        ("6061", "Stop: Welded without filler, 6061 cracks along the weld"),
        # alloy-S12: above 3 % magnesium not for long service above 65 °C.
        ("5083", "above 3 % it is not for long service above 65 °C"),
    ],
)
def test_the_card_warns_as_a_review_would(client: Client, alloy: str, warning: str) -> None:
    assert warning in said(client, alloy)


def test_no_filler_is_named_where_none_will_do(client: Client) -> None:
    text = said(client, "7075")
    assert "Not for arc welding" in text
    assert "Filler for it with itself" not in text


@pytest.mark.parametrize("typed", ["a356", "356", "en aw-6082"])
def test_a_name_as_people_type_it_leads_to_the_card(client: Client, typed: str) -> None:
    answer = client.get(f"/guides/alloys/{typed}/")
    assert answer.status_code == 302
    assert client.get(answer["Location"]).status_code == 200


def test_an_alloy_that_is_not_in_the_tables_is_not_found(client: Client) -> None:
    assert client.get("/guides/alloys/9999/").status_code == 404


@given(low=st.floats(0, 5), width=st.floats(0, 5))
def test_a_bar_stays_on_its_scale(low: float, width: float) -> None:
    end = round_end(low + width)
    bar = extent(low, low + width, end)
    assert 0 <= bar.start <= bar.end <= 100 + 1e-9
