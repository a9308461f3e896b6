"""One rubric: another title for all of its versions."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from coursework import rubrics
from coursework.models import Coupon, Exercise, Rubric, User
from tests.factories import RubricFactory, grade_coupon

pytestmark = pytest.mark.django_db


@pytest.fixture
def rubric(exercise: Exercise) -> Rubric:
    """The rubric of the exercise, with one published version."""
    return exercise.rubric


@pytest.fixture
def client(client_of: Callable[[User], Client], instructor: User) -> Client:
    """An instructor's browser."""
    return client_of(instructor)


def address(rubric: Rubric) -> str:
    return reverse("coursework:rubric", args=[rubric.pk])


def test_a_rubric_is_renamed_and_its_grades_stay(
    client: Client, rubric: Rubric, coupon: Coupon, instructor: User
) -> None:
    grade = grade_coupon(coupon, instructor)
    said = client.post(address(rubric), {"title": "Fillets", "was": rubric.title}, follow=True)
    assert "The rubric is called Fillets now." in said.text
    assert "<h1>Fillets</h1>" in said.text
    grade.refresh_from_db()
    assert str(grade.rubric_version) == "Fillets, version 1"
    assert grade.scores.exists()


def test_its_own_title_is_no_other_rubrics(client: Client, rubric: Rubric) -> None:
    same = {"title": rubric.title, "was": rubric.title}
    assert client.post(address(rubric), same).status_code == 302


@pytest.mark.parametrize(
    ("title", "sentence"),
    [("", "This field is required."), ("Butts", "There is a rubric of this title already.")],
)
def test_a_title_that_cannot_be_is_refused_and_stays_typed(
    client: Client, rubric: Rubric, title: str, sentence: str
) -> None:
    RubricFactory.create(school=rubric.school, title="Butts")
    answer = client.post(address(rubric), {"title": title, "was": rubric.title})
    assert answer.status_code == 422
    assert sentence in answer.text
    assert f'value="{title}"' in answer.text or not title
    rubric.refresh_from_db()
    assert rubric.title not in {"", "Butts"}


def test_the_later_of_two_who_rename_is_told(client: Client, rubric: Rubric) -> None:
    opened = rubric.title
    rubrics.rename(rubric, "First", was=opened, by=None)
    answer = client.post(address(rubric), {"title": "Second", "was": opened})
    assert answer.status_code == 409
    assert "Somebody else renamed this rubric since you opened it." in answer.text
    assert 'value="Second"' in answer.text
    again = client.post(address(rubric), {"title": "Second", "was": "First"})
    assert again.status_code == 302


def test_a_title_taken_at_the_last_moment_is_said(rubric: Rubric) -> None:
    RubricFactory.create(school=rubric.school, title="Butts")
    with pytest.raises(rubrics.TitleTaken):
        rubrics.rename(rubric, "Butts", was=rubric.title, by=None)
