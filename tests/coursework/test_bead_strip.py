"""A bead strip shows every mark at its place, and nothing covers anything else.

The lay-out rules (two rows, a count for the rest, the number left near the end) are this project's
own. One inch is 25.4 mm exactly: International yard and pound agreement, 1959.
"""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from coursework.bead_strip import (
    NARROWEST_PX,
    SHAPE_PX,
    BeadMark,
    BeadStrip,
    PlacedMark,
    bead_strip,
)

marks = st.lists(
    st.builds(
        BeadMark,
        key=st.integers(1, 12),
        group=st.integers(1, 6),
        at_mm=st.floats(0, 170),
        length_mm=st.none() | st.floats(0.5, 60),
    ),
    max_size=12,
)


def strip(length_mm: float, *seen: BeadMark) -> BeadStrip:
    laid_out = bead_strip(length_mm, seen)
    assert laid_out is not None
    return laid_out


def above(length_mm: float, *seen: BeadMark) -> tuple[PlacedMark, ...]:
    side = strip(length_mm, *seen).above
    assert side is not None
    return side.marks


def test_a_spot_and_a_stretch_stand_where_they_were_seen() -> None:
    spot, stretch = above(150, BeadMark(1, 2, 30), BeadMark(2, 5, 75, 30))
    assert (spot.x, spot.start) == (20.0, None)
    assert (stretch.start, stretch.x, stretch.end) == (50.0, 60.0, 70.0)


def test_in_the_last_tenth_the_number_goes_left_of_the_shape() -> None:
    early, late = above(150, BeadMark(1, 2, 100), BeadMark(2, 1, 148))
    assert not early.number_left
    assert late.number_left


def test_what_lies_beyond_the_bead_stands_on_its_end() -> None:
    (mark,) = above(100, BeadMark(1, 1, 98, 10))
    assert mark.end == 100.0


def test_close_marks_take_a_second_row_and_a_third_is_counted() -> None:
    side = strip(150, *(BeadMark(key, 2, 60 + key) for key in range(1, 5))).above
    assert side is not None
    assert len({mark.y for mark in side.marks}) == 2
    assert [more.count for more in side.overflows] == [2]


def test_the_instructor_looks_from_below() -> None:
    laid_out = bead_strip(150, [BeadMark(1, 2, 40)], [BeadMark(1, 2, 42)])
    assert laid_out is not None
    assert laid_out.above is not None
    assert laid_out.below is not None
    (mine,), (theirs,) = laid_out.above.marks, laid_out.below.marks
    assert mine.y < mine.foot < laid_out.metal_y < theirs.foot < theirs.y < laid_out.ruler_y


def test_a_bead_of_no_known_length_is_not_drawn() -> None:
    assert bead_strip(None, [BeadMark(1, 2, 40)]) is None
    assert bead_strip(0, []) is None


def test_the_ruler_has_a_tick_each_10_mm_and_a_number_each_50() -> None:
    ticks = strip(150).ticks
    assert len(ticks) == 16
    assert [tick.text for tick in ticks if tick.text] == ["50", "100"]
    assert [tick.x for tick in ticks if tick.long] == [0.0, 100 / 3, 200 / 3, 100.0]


def test_the_ruler_in_inches_has_a_tick_each_half_inch_and_a_number_each_two() -> None:
    laid_out = bead_strip(152.4, [], inches=True)
    assert laid_out is not None
    assert len(laid_out.ticks) == 13
    assert [tick.text for tick in laid_out.ticks if tick.text] == ["2", "4"]
    assert laid_out.length_text == "6\u00a0in"


@given(st.floats(1, 5000))
def test_numbers_on_the_ruler_never_run_into_each_other(length_mm: float) -> None:
    at = [tick.x / 100 * NARROWEST_PX for tick in strip(length_mm).ticks if tick.text]
    assert all(b - a >= 40 for a, b in pairwise(at))


@given(st.floats(1, 5000), st.booleans())
def test_numbers_on_the_ruler_keep_clear_of_what_stands_at_its_ends(
    length_mm: float, inches: bool
) -> None:
    laid_out = bead_strip(length_mm, [], inches=inches)
    assert laid_out is not None
    digit_px, start_px = 8, 47  # a digit, and "0 start", as Chromium draws them at 14 px
    end_px = NARROWEST_PX - digit_px * len(laid_out.length_text)
    for tick in laid_out.ticks:
        middle, half = tick.x / 100 * NARROWEST_PX, digit_px * len(tick.text) / 2
        assert not tick.text or start_px < middle - half < middle + half < end_px


@given(marks)
def test_every_mark_is_drawn_or_counted(seen: list[BeadMark]) -> None:
    side = strip(150, *seen).above
    drawn = len(side.marks) + sum(more.count for more in side.overflows) if side else 0
    assert drawn == len(seen)


@given(marks)
def test_no_two_shapes_of_a_row_touch_on_the_narrowest_phone(seen: list[BeadMark]) -> None:
    side = strip(150, *seen).above
    for one in side.marks if side else ():
        for other in side.marks if side else ():
            if one is not other and one.y == other.y:
                assert abs(one.x - other.x) / 100 * NARROWEST_PX >= SHAPE_PX
