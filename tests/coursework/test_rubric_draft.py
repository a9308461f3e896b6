"""Rubrics: rows typed and put in order, drafts, versions that stay, two who write at once."""

from collections.abc import Callable, Iterable
from decimal import Decimal
from typing import Any

import pytest
from django.db import models
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Page, expect

from coursework import rubrics
from coursework.forms.rubric import as_typed
from coursework.models import Coupon, Criterion, Exercise, Level, Rubric, RubricVersion, User
from coursework.rubrics import Row, RubricChanged
from coursework.scoring import weighted_level
from tests.factories import MOMENT, RubricFactory, grade_coupon

pytestmark = pytest.mark.django_db

LEVELS = ("not yet", "nearly", "as wanted", "every time")
SAFE = Row("Safety", LEVELS, gate=True)
BEAD = Row("Bead", LEVELS, Decimal(30))
LOG = Row("Log", LEVELS, Decimal(10))


@pytest.fixture
def rubric(exercise: Exercise) -> Rubric:
    """The rubric of the exercise, with one published version."""
    return exercise.rubric


@pytest.fixture
def client(client_of: Callable[[User], Client], instructor: User) -> Client:
    """An instructor's browser."""
    return client_of(instructor)


def address(rubric: Rubric) -> str:
    return reverse("coursework:rubric_draft", args=[rubric.pk])


def sent(rows: Iterable[Row | dict[str, Any]], act: str, based_on: str) -> dict[str, str]:
    """Return what a browser sends for these rows."""
    rows = list(rows)
    data = {"based_on": based_on, "act": act}
    data |= {"row-TOTAL_FORMS": str(len(rows)), "row-INITIAL_FORMS": "0"}
    for place, row in enumerate(rows):
        typed = as_typed(row) if isinstance(row, Row) else row
        data |= {f"row-{place}-{name}": str(text) for name, text in typed.items() if text}
    return data


def based_on(rubric: Rubric) -> str:
    return rubrics.fingerprint(rubrics.newest(rubric))


def everything(version: RubricVersion) -> list[Any]:
    """Return every column of a version, its criteria and their levels."""
    rows: list[models.QuerySet[Any]] = [
        RubricVersion.objects.filter(pk=version.pk),
        Criterion.objects.filter(version=version).order_by("pk"),
        Level.objects.filter(criterion__version=version).order_by("pk"),
    ]
    return [list(each.values()) for each in rows]


def test_a_published_version_is_never_edited(client: Client, rubric: Rubric) -> None:
    first = rubric.current()
    before = everything(first)
    client.post(address(rubric), sent([SAFE, BEAD], "keep", based_on(rubric)))
    assert rubric.current() == first
    client.post(address(rubric), sent([SAFE, BEAD, LOG], "publish", based_on(rubric)))
    assert [each.title for each in rubric.current().criteria.all()] == ["Safety", "Bead", "Log"]
    client.post(address(rubric), sent([BEAD], "publish", based_on(rubric)))
    assert rubric.current().number == 3
    assert everything(first) == before


def test_a_grade_keeps_its_version_and_the_next_coupon_has_the_new_one(
    client: Client, rubric: Rubric, coupon: Coupon, instructor: User
) -> None:
    grade = grade_coupon(coupon, instructor)
    client.post(address(rubric), sent([BEAD], "publish", based_on(rubric)))
    grade.refresh_from_db()
    assert grade.rubric_version.number == 1
    assert grade.scores.count() > 1
    page = client.get(reverse("coursework:rubric", args=[rubric.pk])).content.decode()
    assert "1 grade" in page


def test_a_new_draft_starts_from_the_newest_version(client: Client, rubric: Rubric) -> None:
    rubrics.publish(rubric, [BEAD, LOG], based_on=based_on(rubric), by=None, at=MOMENT)
    page = client.get(address(rubric))
    titles = [row["title"].value() for row in page.context["rows"]]
    assert titles == ["Bead", "Log"]
    assert rubric.versions.count() == 2


def test_rows_keep_their_keys_through_versions(rubric: Rubric) -> None:
    rows = rubrics.rows_of(rubrics.newest(rubric))
    turned = [Row("Bead", LEVELS, Decimal(5)), *reversed(rows)]
    version = rubrics.keep_draft(rubric, turned, based_on=based_on(rubric))
    keys = list(version.criteria.values_list("key", flat=True))
    assert keys == ["bead", *(each.key for each in reversed(rows))]


def test_the_loser_of_a_race_gets_409_and_keeps_what_was_typed(
    client: Client, rubric: Rubric
) -> None:
    opened = based_on(rubric)
    rubrics.keep_draft(rubric, [BEAD], based_on=opened)
    answer = client.post(address(rubric), sent([LOG], "publish", opened))
    assert answer.status_code == 409
    assert 'value="Log"' in answer.content.decode()
    assert rubrics.rows_of(rubrics.newest(rubric))[0].title == "Bead"
    assert rubric.current().number == 1


def test_a_draft_that_was_published_meanwhile_is_not_written_over(rubric: Rubric) -> None:
    rubrics.keep_draft(rubric, [BEAD], based_on=based_on(rubric))
    opened = based_on(rubric)
    rubrics.publish(rubric, [BEAD], based_on=opened, by=None, at=MOMENT)
    with pytest.raises(RubricChanged):
        rubrics.keep_draft(rubric, [LOG], based_on=opened)
    with pytest.raises(RubricChanged):
        rubrics.discard_draft(rubric, based_on=opened)
    assert rubric.versions.count() == 2


def test_the_same_draft_is_refused_to_two_who_opened_it(rubric: Rubric) -> None:
    opened = based_on(rubric)
    rubrics.keep_draft(rubric, [BEAD], based_on=opened)
    for rows in ([BEAD], [LOG]):
        with pytest.raises(RubricChanged):
            rubrics.keep_draft(rubric, rows, based_on=opened)


def typed(**changes: str) -> dict[str, str]:
    return {name: str(text) for name, text in as_typed(BEAD).items() if text} | changes


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        ([SAFE], "Give one row a weight at least."),
        ([typed(check_test="on")], "Give a row a weight that is scored without a check test too."),
        ([typed(level_2="")], "Say what this level looks like."),
        ([BEAD, typed(title="bead")], "Row 1 has this title already."),
        ([typed(weight="")], "Type a weight, or say that the row must be kept."),
        ([typed(gate="on")], "A row that must be kept has no weight: clear it."),
        ([typed(weight="250")], "Type a weight from 0.01 to 100."),
        ([typed(weight="much")], "is not a number"),
        ([typed(title="")], "This field is required."),
        ([], "Give one row a weight at least."),
        ([{}, {}], "Give one row a weight at least."),
    ],
)
def test_what_cannot_be_graded_by_is_refused_with_what_was_typed(
    client: Client, rubric: Rubric, rows: list[Any], sentence: str
) -> None:
    for act in ("keep", "publish"):
        answer = client.post(address(rubric), sent(rows, act, based_on(rubric)))
        page = answer.content.decode()
        assert answer.status_code == 422
        assert sentence in page
        assert all(text in page for row in rows if isinstance(row, dict) for text in row.values())
    assert rubric.versions.count() == 1


def test_a_gate_needs_words_for_kept_and_not_kept_alone(client: Client, rubric: Rubric) -> None:
    gate = {"title": "Safety", "gate": "on", "level_1": "unsafe", "level_3": "safe"}
    answer = client.post(address(rubric), sent([gate, BEAD], "publish", based_on(rubric)))
    assert answer.status_code == 302
    digits = rubric.current().criteria.get(gate=True).levels.values_list("digit", flat=True)
    assert list(digits) == [1, 3]


@pytest.mark.parametrize(
    ("act", "titles"),
    [
        ("up-2", ["Bead", "Safety", "Log"]),
        ("down-2", ["Safety", "Log", "Bead"]),
        ("remove-2", ["Safety", "Log"]),
        ("up-1", ["Safety", "Bead", "Log"]),
        ("down-3", ["Safety", "Bead", "Log"]),
        ("add", ["Safety", "Bead", "Log", ""]),
        ("remove-99", ["Safety", "Bead", "Log"]),
        ("up-²", ["Safety", "Bead", "Log"]),
        ("preview", ["Safety", "Bead", "Log"]),
    ],
)
def test_rows_are_put_in_order_on_the_page_and_nothing_is_stored(
    client: Client, rubric: Rubric, act: str, titles: list[str]
) -> None:
    answer = client.post(address(rubric), sent([SAFE, BEAD, LOG], act, based_on(rubric)))
    assert answer.status_code == 200
    assert [row["title"].value() or "" for row in answer.context["rows"]] == titles
    assert rubric.versions.count() == 1


@pytest.mark.parametrize("total", ["", "x", "-3", "9999999", "²"])
def test_no_number_of_rows_breaks_the_page(client: Client, rubric: Rubric, total: str) -> None:
    for act in ("add", "keep"):
        data = sent([BEAD], act, based_on(rubric)) | {"row-TOTAL_FORMS": total}
        assert client.post(address(rubric), data).status_code in {200, 302, 422}


def test_discarding_a_draft_leaves_the_published_version(client: Client, rubric: Rubric) -> None:
    rubrics.keep_draft(rubric, [BEAD], based_on=based_on(rubric))
    client.post(address(rubric), sent([], "discard", based_on(rubric)))
    assert [each.number for each in rubric.versions.all()] == [1]


def test_a_rubric_is_started_from_another_and_named_once(client: Client, rubric: Rubric) -> None:
    rubrics_page = reverse("coursework:rubrics")
    answer = client.post(rubrics_page, {"title": "Final piece", "like": rubric.pk})
    new = Rubric.objects.get(title="Final piece")
    assert answer["Location"] == address(new)
    assert rubrics.rows_of(rubrics.newest(new)) == rubrics.rows_of(rubrics.newest(rubric))
    with pytest.raises(RubricVersion.DoesNotExist):
        new.current()
    again = client.post(rubrics_page, {"title": "Final piece"})
    assert again.status_code == 422
    with pytest.raises(rubrics.TitleTaken):
        rubrics.start(rubric.school, "Final piece")
    client.post(address(new), sent([], "discard", based_on(new)))
    assert not Rubric.objects.filter(pk=new.pk).exists()


def test_a_rubric_without_a_version_opens_with_empty_rows(client: Client, rubric: Rubric) -> None:
    new = rubrics.start(rubric.school, "Empty")
    assert len(client.get(address(new)).context["rows"]) == 3
    assert client.get(reverse("coursework:rubric", args=[new.pk])).status_code == 200
    assert client.get(reverse("coursework:rubric", args=[new.pk]) + "?version=7").status_code == 404


@given(st.lists(st.tuples(st.integers(1, 10000), st.booleans()), min_size=1, max_size=12))
def test_shares_make_up_100_and_weigh_as_grading_does(rows: list[tuple[int, bool]]) -> None:
    """A row scored 4 among rows scored 1 lifts the mean by three times its share."""
    written = [
        Row(f"r{n}", LEVELS, Decimal(weight) / 100, check_test=test, key=f"r{n}")
        for n, (weight, test) in enumerate(rows)
    ]
    shares = rubrics.shares(written)
    half = Decimal("0.05") * len(written)
    assert abs(sum((each for each, _ in shares if each), Decimal(-100))) <= half
    criteria = [Criterion(key=each.key, weight=each.weight) for each in written]
    for row, (share, _without) in zip(written, shares, strict=True):
        scores = {each.key: 4 if each.key == row.key else 1 for each in written}
        assert share is not None
        assert abs(weighted_level(scores, criteria) - 1 - 3 * share / 100) <= Decimal("0.0066")
    without = [each for _, each in shares if each is not None]
    assert not without or abs(sum(without, Decimal(-100))) <= half


def test_lists_of_rubrics_cost_the_same_however_long(
    client: Client, rubric: Rubric, django_assert_max_num_queries: Any
) -> None:
    for _each in range(8):
        RubricFactory.create(school=rubric.school)
    with django_assert_max_num_queries(7):
        client.get(reverse("coursework:rubrics"))
    with django_assert_max_num_queries(9):
        client.get(reverse("coursework:rubric", args=[rubric.pk]))
    with django_assert_max_num_queries(10):
        client.get(address(rubric))


@pytest.mark.django_db(transaction=True)
def test_a_rubric_is_written_on_a_phone(
    phone: Page, sign_in: Callable[[Page, object], None], instructor: User, rubric: Rubric
) -> None:
    sign_in(phone, instructor)
    phone.goto(address(rubric))
    phone.get_by_role("button", name="Add a row").click()
    phone.get_by_label("Row 10, title").fill("Tools put away")
    phone.get_by_label("Row 10, weight").fill("2,5")
    for digit, words in enumerate(LEVELS, start=1):
        phone.get_by_label(f"Row 10, level {digit}").fill(words)
    phone.get_by_role("button", name="Up 10").click()
    expect(phone.get_by_label("Row 9, title")).to_have_value("Tools put away")
    phone.get_by_role("button", name="Publish it").click()
    expect(phone.get_by_role("heading", name="Version 2")).to_be_visible()
    assert rubric.current().criteria.get(place=9).weight == Decimal("2.5")
