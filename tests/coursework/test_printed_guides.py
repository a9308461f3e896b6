"""Every shop guide makes one sheet of paper, on A4 and on Letter, asked or unasked."""

import io

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

from weldlog.engine.alloys import ALLOYS

pytestmark = pytest.mark.django_db(transaction=True)

HEAT = (
    "/guides/heat/?process=GTAW&pulsed=on&voltage_v=14&current_a=135&travel_speed_mm_s=5&alloy=6061"
    "&t6=on&thickness_mm=3.2&plate_length_mm=150&plate_width_mm=150&en_percent=70&weld_length_mm=150"
)
SHEETS = (
    "/guides/",
    "/guides/cleaning/",
    "/guides/set-up/",
    "/guides/set-up/?process=GTAW&joint=tee&thickness_mm=5",
    "/guides/set-up/?process=GMAW&joint=butt&thickness_mm=0.25&thickness_mm_unit=in",
    "/guides/filler/",
    "/guides/filler/?alloy=6061",
    "/guides/filler/?alloy=5083&other=6061&anodised_after=on",
    "/guides/heat/",
    HEAT,
    "/guides/alloys/",
    "/sources/",
)
SIZES = ("A4", "Letter")


def pages(page: Page, address: str, size: str) -> int:
    """Return how many pages of paper an address takes."""
    answer = page.goto(address)
    assert answer is not None
    assert answer.status == 200, address
    return len(PdfReader(io.BytesIO(page.pdf(format=size))).pages)


@pytest.mark.parametrize("address", SHEETS)
def test_a_guide_is_one_sheet(laptop: Page, address: str) -> None:
    assert {size: pages(laptop, address, size) for size in SIZES} == dict.fromkeys(SIZES, 1)


@pytest.mark.parametrize(
    ("size", "names"),
    [
        ("Letter", tuple(ALLOYS)[::7]),
        pytest.param("Letter", tuple(ALLOYS), marks=pytest.mark.long),
        pytest.param("A4", tuple(ALLOYS), marks=pytest.mark.long),
    ],
)
def test_an_alloy_card_is_one_sheet(laptop: Page, size: str, names: tuple[str, ...]) -> None:
    longer = {name for name in names if pages(laptop, f"/guides/alloys/{name}/", size) != 1}
    assert longer == set()


@pytest.mark.parametrize("address", SHEETS[:4])
def test_somewhat_wider_letters_still_fit(laptop: Page, address: str) -> None:
    """A reader's own letters may be wider than those of the machine that this was made on."""
    laptop.add_init_script(
        "addEventListener('DOMContentLoaded', () => { document.body.style.wordSpacing = '0.06em' })"
    )
    assert {size: pages(laptop, address, size) for size in SIZES} == dict.fromkeys(SIZES, 1)


def test_what_was_asked_is_on_the_sheet_and_the_form_is_not(laptop: Page) -> None:
    laptop.goto("/guides/set-up/?process=GTAW&joint=tee&thickness_mm=0.125&thickness_mm_unit=in")
    text = PdfReader(io.BytesIO(laptop.pdf(format="A4"))).pages[0].extract_text()
    assert "Where to start" in text
    assert "All starting ranges" not in text
    assert "Show where to start" not in text


def test_a_sheet_says_which_rules_it_was_made_with_and_who_decides(laptop: Page) -> None:
    laptop.goto("/guides/cleaning/")
    text = PdfReader(io.BytesIO(laptop.pdf(format="A4"))).pages[0].extract_text()
    assert "rules edition" in text
    assert "the safety data sheet and licensed practice" in text
