"""The open pages: guides, sources and help, without sign-in and without script."""

import html
import re
from typing import Any

import pytest
from django.test import Client

from weldlog.engine.review import RULES
from weldlog.engine.sources import SOURCES

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}


def words(answer: Any) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", answer.text)))


@pytest.mark.parametrize(
    "page", ["/guides/", "/guides/filler/", "/guides/heat/", "/sources/", "/help/"]
)
def test_open_to_everybody_without_a_query(
    client: Client, page: str, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(0):
        answer = client.get(page)
    assert answer.status_code == 200


def test_the_guides_carry_the_cautions(client: Client) -> None:
    text = words(client.get("/guides/"))
    assert "Argon is heavier than air" in text
    assert "the safety data sheet" in text


def test_6061_to_itself_takes_4043_first(client: Client) -> None:
    # alloy-S21c, alloy-S22: 4043 or 5356 for 6061; alloy-S1: 4043 against cracks, as we do.
    text = words(client.get("/guides/filler/?alloy=6061"))
    assert text.index("4043 First choice") < text.index("5356 Acceptable")


def test_the_service_changes_the_choice(client: Client) -> None:
    # alloy-S21c: 5356 not above 150 F; alloy-S21c: 4043 turns dark when anodized.
    warm = words(client.get("/guides/filler/?alloy=6061&above_65_c=on"))
    assert "5356 Do not use" in warm
    anodized = words(client.get("/guides/filler/?alloy=6061&anodised_after=on"))
    assert "5356 First choice" in anodized


@pytest.mark.parametrize("alloy", ["2024", "7075"])
def test_what_should_not_be_welded_says_so(client: Client, alloy: str) -> None:
    # alloy-S21b: 2024 and 7075 are not for arc welding, whatever the filler.
    text = words(client.get(f"/guides/filler/?alloy={alloy}"))
    assert "Not recommended for arc welding" in text
    assert "First choice" not in text


def test_an_unknown_alloy_gets_no_verdict(client: Client) -> None:
    text = words(client.get("/guides/filler/?alloy=unknown"))
    assert "No verdict: the alloy is not known." in text
    assert "First choice" not in text


@pytest.mark.parametrize("page", ["/guides/filler/?alloy=6061", "/guides/heat/?voltage_v=24"])
def test_htmx_is_given_the_part_alone(client: Client, page: str) -> None:
    answer = client.get(page, **HTMX)
    assert "<html" not in answer.text
    assert "<h2" in answer.text


@pytest.mark.parametrize(
    ("typed", "energy", "heat"),
    [
        # heat-S14, solved there: 17 280 J/in = 0.680 kJ/mm; k = 0.8 by heat-S1.
        (
            "process=GMAW&voltage_v=24&current_a=120&travel_speed_mm_s=10&travel_speed_mm_s_unit=in/min",
            "0.680",
            "0.54",
        ),
        # heat-S12, solved there: 2400 J/mm; k = 0.6 by heat-S1.
        (
            "process=GTAW&voltage_v=20&current_a=300&travel_speed_mm_s=2,5&travel_speed_mm_s_unit=mm/s",
            "2.40",
            "1.4",
        ),
        # Identity: 42 kJ over 150 mm.
        (
            "process=GTAW&arc_energy_kj=42&weld_length_mm=150&weld_length_mm_unit=mm",
            "0.280",
            "0.17",
        ),
        # Identity: 1.9 kW for 36 s over 150 mm.
        (
            "process=GTAW&mean_power_kw=1.9&arc_time_s=0:36&weld_length_mm=150&weld_length_mm_unit=mm",
            "0.456",
            "0.27",
        ),
    ],
)
def test_the_heat_guide_answers_published_examples(
    client: Client, typed: str, energy: str, heat: str
) -> None:
    text = words(client.get(f"/guides/heat/?{typed}"))
    assert f"{energy} kJ/mm" in text
    assert f"{heat} kJ/mm" in text
    assert text.index("Arc energy") < text.index("Heat input")


def test_what_is_missing_is_said(client: Client) -> None:
    text = words(client.get("/guides/heat/?process=GTAW&voltage_v=14&current_a=135"))
    assert "Missing:" in text
    assert "kJ/mm" not in text


def test_what_cannot_be_read_keeps_what_was_typed(client: Client) -> None:
    answer = client.get("/guides/heat/?voltage_v=14..5&current_a=135")
    assert answer.status_code == 422
    assert "Two decimal marks: 14..5." in answer.text
    assert 'value="14..5"' in answer.text
    assert 'value="135"' in answer.text


@pytest.mark.parametrize("page", ["/guides/filler/?alloy=", "/guides/heat/?voltage_v="])
def test_hostile_input_is_not_run(client: Client, page: str) -> None:
    answer = client.get(f"{page}<script>alert(1)</script>")
    assert answer.status_code == 422
    assert "<script>alert" not in answer.text


def test_every_source_and_every_rule_is_named(client: Client) -> None:
    text = words(client.get("/sources/"))
    assert all(f" {key} " in text for key in SOURCES)
    assert all(rule in text for rule in RULES)
