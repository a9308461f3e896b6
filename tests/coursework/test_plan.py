"""Course plans: exercises in order, retired and brought back; copies of one's own."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coursework import exercises
from coursework.exercises import ExerciseChanged
from coursework.models import CoursePlan, Enrolment, Exercise, User
from tests.factories import MOMENT, ExerciseFactory, hand_in_coupon

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client_of: Callable[[User], Client], instructor: User) -> Client:
    """An instructor's browser."""
    return client_of(instructor)


def act(client: Client, plan: CoursePlan, act: str, order: str | None = None) -> int:
    data = {"act": act, "based_on": exercises.order_of(plan) if order is None else order}
    return client.post(reverse("coursework:plan", args=[plan.pk]), data).status_code


def titles(plan: CoursePlan) -> list[tuple[int, str]]:
    rows = plan.exercises.filter(retired_at=None).order_by("place")
    return list(rows.values_list("place", "title"))


def test_exercises_are_put_in_order_retired_and_brought_back(
    client: Client, plan: CoursePlan, enrolment: Enrolment
) -> None:
    one, two, three = (ExerciseFactory.create(plan=plan, title=name) for name in "ABC")
    coupon = hand_in_coupon(enrolment, two)
    assert act(client, plan, f"up-{three.pk}") == 302
    assert titles(plan) == [(1, "A"), (2, "C"), (3, "B")]
    act(client, plan, f"down-{one.pk}")
    act(client, plan, f"up-{three.pk}")
    assert titles(plan) == [(1, "C"), (2, "A"), (3, "B")]
    act(client, plan, f"retire-{one.pk}")
    assert titles(plan) == [(1, "C"), (2, "B")]
    act(client, plan, f"back-{one.pk}")
    assert titles(plan) == [(1, "C"), (2, "B"), (3, "A")]
    coupon.refresh_from_db()
    assert coupon.exercise == two


def test_an_order_that_somebody_else_changed_is_refused(client: Client, plan: CoursePlan) -> None:
    one, two = (ExerciseFactory.create(plan=plan, title=name) for name in "AB")
    order = exercises.order_of(plan)
    act(client, plan, f"up-{two.pk}")
    assert act(client, plan, f"retire-{one.pk}", order) == 409
    assert titles(plan) == [(1, "B"), (2, "A")]
    assert act(client, plan, "up-99999") == 302
    assert act(client, plan, "up-²") == 302


def test_a_copy_is_a_plan_of_its_own(client: Client, plan: CoursePlan) -> None:
    ExerciseFactory.create(plan=plan, title="Gone", retired_at=MOMENT)
    kept = ExerciseFactory.create(plan=plan, title="Kept")
    url = reverse("coursework:plans")
    answer = client.post(url, {"like": plan.pk, "code": "ALW 12 B", "title": "Evenings"})
    copy = CoursePlan.objects.get(code="ALW 12 B")
    assert answer["Location"] == reverse("coursework:plan", args=[copy.pk])
    (own,) = copy.exercises.all()
    assert exercises.asked_of(own) == exercises.asked_of(kept)
    asked = exercises.asked_of(own)
    longer = exercises.Asked({**asked.columns, "title": "Own"}, {})
    exercises.change(own, longer, based_on=exercises.fingerprint(own), by=None, at=MOMENT)
    assert kept.windows.exists()
    assert client.post(url, {"code": "ALW 12 B", "title": "Again"}).status_code == 422


def test_a_plan_is_full_at_some_point(plan: CoursePlan, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = exercises.asked_of(ExerciseFactory.create(plan=plan))
    monkeypatch.setattr(exercises, "MOST_EXERCISES", 2)
    exercises.add(plan, asked, by=None)
    with pytest.raises(ExerciseChanged):
        exercises.add(plan, asked, by=None)


def test_a_longer_plan_costs_no_more_queries(
    client: Client, plan: CoursePlan, exercise: Exercise, django_assert_max_num_queries: Any
) -> None:
    for _each in range(6):
        ExerciseFactory.create(plan=plan, rubric=exercise.rubric)
    for url, most in (
        (reverse("coursework:plans"), 7),
        (reverse("coursework:plan", args=[plan.pk]), 7),
        (reverse("coursework:exercise_edit", args=[exercise.pk]), 11),
    ):
        with django_assert_max_num_queries(most):
            client.get(url)
