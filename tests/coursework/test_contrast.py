"""Text and edges can be read in a bright shop, in light and in dark.

Contrast by the formula of W3C, Web Content Accessibility Guidelines 2.2, definitions of "relative
luminance" and "contrast ratio" (checked below on values of the standard: 21 for black on white).
Limits from the same text: 7 for text (1.4.6), 3 for edges and graphics (1.4.11).
"""

import re
from pathlib import Path

import pytest

TOKENS = Path(__file__).parents[2] / "static" / "css" / "tokens.css"
SYSTEM_DARK = ":root:not([data-theme])"
THEMES = (":root", ':root[data-theme="dark"]', SYSTEM_DARK)
TEXT_ON = [
    ("ink", ("sheet", "bench", "inset", "mark-1", "mark-2", "mark-3", "warn-tint", "bead")),
    ("soft", ("sheet", "bench", "inset", "mark-1", "warn-tint")),
    ("mark", ("sheet", "bench", "inset", "mark-1")),
    ("stop", ("sheet", "inset")),
    ("warn", ("sheet", "warn-tint")),
    ("tip", ("sheet", "bench")),
    ("on-mark", ("mark",)),
    ("on-stop", ("stop",)),
]
EDGES_ON = [
    ("line", ("sheet", "bench", "inset", "mark-1", "bead")),
    ("warn", ("mark-2",)),
    ("mark", ("mark-3",)),
]


def tokens(theme: str) -> dict[str, str]:
    block = TOKENS.read_text().split(f"{theme} {{", 1)[1].split("}", 1)[0]
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", block))


def luminance(color: str) -> float:
    channels = (int(color[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (
        channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4
        for channel in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_gives_21_for_black_on_white_and_1_for_a_color_on_itself() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#2a2f92", "#2a2f92") == 1


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("limit", "pairs"), [(7, TEXT_ON), (3, EDGES_ON)])
def test_every_pair_in_use_is_readable(
    theme: str, limit: int, pairs: list[tuple[str, tuple[str, ...]]]
) -> None:
    colors = tokens(theme)
    weak = {
        (front, back): round(contrast(colors[front], colors[back]), 1)
        for front, backs in pairs
        for back in backs
        if contrast(colors[front], colors[back]) < limit
    }
    assert weak == {}


def test_dark_is_the_same_by_system_and_by_hand() -> None:
    assert tokens(SYSTEM_DARK) == tokens(THEMES[1])
