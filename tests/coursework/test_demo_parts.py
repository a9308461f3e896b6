"""The parts of the invented term: its days, its people, one student's term, pictures, the bar."""

import io
from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageChops, ImageStat

from coursework.bar import Bar
from coursework.demo.calendar import Calendar, ShopHours
from coursework.demo.load import course_of, is_loaded, load
from coursework.demo.people import PEOPLE, Learner, found_school
from coursework.demo.pictures import PICTURES, SIZE, Picture, draw
from coursework.demo.story import Mishaps, StudentTerm, chance_of, deal_mishaps
from coursework.models import Term

TODAY = date(2026, 11, 25)
ZONE = ZoneInfo(PEOPLE["time_zone"])
days = st.dates(min_value=date(2000, 1, 1), max_value=date(2100, 1, 1))


# --- the days


@given(days)
def test_it_is_week_11_of_12_on_whatever_day_the_term_is_loaded(today: date) -> None:
    calendar = Calendar(today, ZONE)
    term = Term(starts_on=calendar.starts_on, ends_on=calendar.ends_on)
    assert (term.week(today), term.weeks) == (11, 12)


@given(days, st.integers(1, 60))
def test_coupons_are_handed_in_on_shop_days_in_shop_hours_before_the_day_of_loading(
    today: date, count: int
) -> None:
    calendar = Calendar(today, ZONE)
    document = PEOPLE["sections"][0]
    hours = ShopHours(
        calendar,
        calendar.shop_days(document["shop_days"]),
        datetime.strptime(document["opens"], "%H:%M").time(),  # noqa: DTZ007 - a time of day
        datetime.strptime(document["closes"], "%H:%M").time(),  # noqa: DTZ007 - a time of day
    )
    moments = hours.moments(count, chance_of(f"{today} {count}"))
    assert len(moments) == count
    assert moments == sorted(moments)
    for moment in moments:
        assert moment.date() < today
        assert moment.strftime("%A") in document["shop_days"]
        assert hours.opens <= moment.time() <= hours.closes


# --- the people


def test_the_school_has_its_people(db: None) -> None:
    invented = found_school(TODAY)
    assert invented.school.people.count() == 35
    assert [each.section.join_code for each in invented.sections] == ["TERN4WAX", "HARB7QUE"]


def test_the_same_day_tells_the_same_term_again(db: None) -> None:
    invented = found_school(TODAY)
    shop = invented.sections[0]
    course = course_of(invented)
    mishaps = [deal_mishaps(shop.learners) for _ in range(2)]
    assert mishaps[0] == mishaps[1]

    def told(learner: Learner, dealt: Mishaps) -> list[object]:
        drafts = StudentTerm(learner, shop, course, dealt[learner.username]).drafts()
        return [
            (each.handed_in_at, each.logs, each.predicted_level, each.picture, each.marks)
            for each in drafts
        ]

    for learner in shop.learners[:3]:
        assert told(learner, mishaps[0]) == told(learner, mishaps[1])


def test_an_interrupted_load_leaves_nothing(db: None) -> None:
    steps = iter(range(2))

    def step() -> None:
        next(steps)

    with pytest.raises(StopIteration):
        load(TODAY, step)
    assert not is_loaded()


# --- the pictures


@pytest.mark.parametrize("picture", PICTURES, ids=lambda each: each.name)
def test_a_picture_is_the_one_that_the_code_draws(picture: Picture) -> None:
    with Image.open(picture.path) as kept:
        assert kept.size == SIZE
        apart = ImageChops.difference(kept.convert("L"), draw(picture).convert("L"))
    # JPEG leaves a difference of a few gray levels; another drawing leaves one of dozens.
    assert ImageStat.Stat(apart).mean[0] < 4
    assert picture.path.stat().st_size <= 120_000


# --- the bar


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_the_bar_is_a_line_for_each_quarter_where_nobody_watches() -> None:
    stream = io.StringIO()
    bar = Bar(stream, "Telling", 8)
    for _ in range(8):
        bar.step()
    assert stream.getvalue().splitlines() == [f"Telling: {n} of 8" for n in (2, 4, 6, 8)]


def test_the_bar_fills_on_a_terminal_and_ends_the_line() -> None:
    stream = Terminal()
    bar = Bar(stream, "Telling", 2)
    bar.step()
    assert "[###############...............] 1 of 2" in stream.getvalue()
    bar.step()
    assert stream.getvalue().endswith(f"[{'#' * 30}] 2 of 2\n")
