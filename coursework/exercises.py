"""Exercises of a course plan: added, changed, replaced, put in order, retired; and plans copied.

What an exercise with coupons asks is never changed: a new exercise takes its place, and its
coupons, grades and sign-offs stay with the old one.
"""

import hashlib
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db import IntegrityError, transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from coursework import audit
from coursework.conflicts import Conflict
from coursework.models import Act, Coupon, CoursePlan, Exercise, School, SignOff, TargetWindow, User
from coursework.plans import PlanIsThere

COLUMNS: Final = (
    "title",
    "process",
    "joint",
    "weld",
    "position",
    "alloy",
    "temper",
    "thickness_mm",
    "filler",
    "nominal_leg_mm",
    "good_coupons_wanted",
    "in_a_row_wanted",
    "check_test",
    "due_week",
    "acceptance_set",
    "rubric_id",
)
#: What may change under coupons: it says nothing about what was asked or how it was graded.
IN_PLACE: Final = frozenset({"due_week"})
MOST_EXERCISES: Final = 60
#: Numbers that differ by less were written in another unit and are the same (share of the larger).
ROUNDING: Final = 1e-4


class ExerciseChanged(Conflict):
    """Somebody else changed the exercise, or the order of the plan, since the page was opened."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What an exercise asks: its ``COLUMNS``, and its windows by figure [base unit of each]."""

    columns: Mapping[str, Any]
    windows: Mapping[str, tuple[float, float]]


def asked_of(exercise: Exercise) -> Asked:
    """Return what an exercise asks."""
    windows = {each.figure: (each.low, each.high) for each in exercise.windows.all()}
    return Asked({name: getattr(exercise, name) for name in COLUMNS}, windows)


def fingerprint(exercise: Exercise) -> str:
    """Return a short text that is another one after any change of what the exercise asks."""
    asked = asked_of(exercise)
    text = repr((exercise.retired_at is None, asked.columns, sorted(asked.windows.items())))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def order_of(plan: CoursePlan) -> str:
    """Return a text that is another one after any change of the order of a plan."""
    return order_text(_in_order(plan))


def order_text(exercises: Iterable[Exercise]) -> str:
    """Return what :func:`order_of` does, of exercises in their order."""
    return "-".join(str(each.pk) for each in exercises)


def _in_order(plan: CoursePlan) -> Any:
    return plan.exercises.filter(retired_at=None).order_by("place")


def has_coupons(exercise: Exercise) -> bool:
    """Return whether a coupon was logged for the exercise, or it was signed off."""
    return any(rows.objects.filter(exercise=exercise).exists() for rows in (Coupon, SignOff))


@transaction.atomic
def add(plan: CoursePlan, asked: Asked, *, by: User | None) -> Exercise:
    """Store an exercise behind the others of the plan.

    Raises
    ------
    ExerciseChanged
        When the plan has as many as it can hold.
    """
    _lock(plan)
    if _in_order(plan).count() >= MOST_EXERCISES:
        raise ExerciseChanged(_("A plan holds %d exercises at most.") % MOST_EXERCISES)
    added = _store(Exercise(plan=plan, place=_last_place(plan) + 1), asked)
    audit.record_act(by, Act.EXERCISE_ADDED, added, after=_told(asked))
    return added


@transaction.atomic
def change(
    exercise: Exercise, asked: Asked, *, based_on: str, by: User | None, at: datetime
) -> Exercise:
    """Store what an exercise asks, in a new exercise in its place where it has coupons.

    Parameters
    ----------
    based_on : str
        The :func:`fingerprint` of what was looked at.

    Returns
    -------
    Exercise
        The same one, or the new one.

    Raises
    ------
    ExerciseChanged
        When it asks something else by now, or was retired.
    """
    _lock(exercise.plan)
    now = Exercise.objects.select_for_update().get(pk=exercise.pk)
    if now.retired_at or fingerprint(now) != based_on:
        raise ExerciseChanged(
            _(
                "Somebody else changed or retired this exercise since you opened it. What you "
                "typed is below. Open the course plan in another tab to see what is new."
            )
        )
    before = asked_of(now)
    asked = _settled(before, asked)
    differing = _differing(before, asked)
    if differing <= IN_PLACE or not has_coupons(now):
        kept = _store(now, asked)
    else:
        now.retired_at = at
        now.save(update_fields=["retired_at"])
        kept = _store(Exercise(plan=now.plan, place=now.place), asked)
    was, told = {"key": now.pk, **_told(before)}, {"key": kept.pk, **_told(asked)}
    audit.record_change(by, Act.EXERCISE_CHANGED, kept, before=was, after=told)
    return kept


@transaction.atomic
def move(plan: CoursePlan, pk: int, steps: int, *, based_on: str) -> None:
    """Move an exercise of a plan so many places on, or back below zero; the ends stop it.

    Raises
    ------
    ExerciseChanged
        When the order is not the one that :func:`order_of` told.
    """
    found = _locked_order(plan, based_on)
    index = next((i for i, each in enumerate(found) if each.pk == pk), None)
    if index is None:
        return
    found.insert(max(index + steps, 0), found.pop(index))
    _renumber(plan, found)


@transaction.atomic
def retire(plan: CoursePlan, pk: int, *, based_on: str, by: User | None, at: datetime) -> None:
    """Take an exercise out of the plan; its coupons stay. Raises as :func:`move` does."""
    found = _locked_order(plan, based_on)
    Exercise.objects.filter(plan=plan, pk=pk, retired_at=None).update(retired_at=at)
    _renumber(plan, [each for each in found if each.pk != pk])
    _record(by, Act.EXERCISE_RETIRED, [each for each in found if each.pk == pk])


@transaction.atomic
def bring_back(plan: CoursePlan, pk: int, *, based_on: str, by: User | None) -> None:
    """Put an exercise that was retired behind the others. Raises as :func:`move` does."""
    found = _locked_order(plan, based_on)
    if len(found) >= MOST_EXERCISES:
        raise ExerciseChanged(_("A plan holds %d exercises at most.") % MOST_EXERCISES)
    back = list(Exercise.objects.filter(plan=plan, pk=pk, retired_at__isnull=False))
    for each in back:
        each.retired_at, each.place = None, _last_place(plan) + 1
        each.save(update_fields=["retired_at", "place"])
    _record(by, Act.EXERCISE_BROUGHT_BACK, back)


def _record(by: User | None, act: Act, exercises: Iterable[Exercise]) -> None:
    audit.record_acts(by, act, [audit.Entry(about=each) for each in exercises])


@transaction.atomic
def start_plan(
    school: School, code: str, title: str, like: CoursePlan | None = None, *, by: User | None
) -> CoursePlan:
    """Store a course plan, with a copy of each exercise of another one.

    Raises
    ------
    PlanIsThere
        When the school has a plan of this code.
    """
    try:
        with transaction.atomic():
            plan = CoursePlan.objects.create(school=school, code=code, title=title)
    except IntegrityError:
        raise PlanIsThere(_("The course plan %s is there already.") % code) from None
    if like is not None:
        copied = _in_order(like).prefetch_related("windows")
        for place, each in enumerate(copied, start=1):
            _store(Exercise(plan=plan, place=place), asked_of(each))
    audit.record_act(by, Act.PLAN_STARTED, plan, after={"like": str(like) if like else None})
    return plan


def _told(asked: Asked) -> dict[str, Any]:
    return {**asked.columns, "windows": {name: list(ends) for name, ends in asked.windows.items()}}


def _lock(plan: CoursePlan) -> None:
    CoursePlan.objects.select_for_update().get(pk=plan.pk)


def _locked_order(plan: CoursePlan, based_on: str) -> list[Exercise]:
    _lock(plan)
    if order_of(plan) != based_on:
        raise ExerciseChanged(
            _("Somebody else changed this plan just now. This is how it is; choose again.")
        )
    return list(_in_order(plan))


def _last_place(plan: CoursePlan) -> int:
    return _in_order(plan).aggregate(last=Max("place"))["last"] or 0


def _renumber(plan: CoursePlan, exercises: list[Exercise]) -> None:
    """Number exercises from 1; a place is held once, so that each passes behind the last first."""
    beyond = _last_place(plan)
    for offset in (beyond, 0):
        for place, each in enumerate(exercises, start=1):
            Exercise.objects.filter(pk=each.pk).update(place=offset + place)


def _store(exercise: Exercise, asked: Asked) -> Exercise:
    for name, value in asked.columns.items():
        setattr(exercise, name, value)
    exercise.save()
    exercise.windows.all().delete()
    TargetWindow.objects.bulk_create(
        TargetWindow(exercise=exercise, figure=figure, low=low, high=high)
        for figure, (low, high) in asked.windows.items()
    )
    return exercise


def _alike(one: Any, other: Any) -> bool:
    if isinstance(one, float | int) and isinstance(other, float | int):
        return math.isclose(one, other, rel_tol=ROUNDING)
    return bool(one == other)


def _settled(before: Asked, asked: Asked) -> Asked:
    """Return what is asked, with the stored number where the new one is only its rounding."""
    columns = {
        name: before.columns[name] if _alike(before.columns[name], value) else value
        for name, value in asked.columns.items()
    }
    windows = {}
    for figure, (low, high) in asked.windows.items():
        was = before.windows.get(figure, (math.nan, math.nan))
        same = _alike(was[0], low) and _alike(was[1], high)
        windows[figure] = was if same else (low, high)
    return Asked(columns, windows)


def _differing(before: Asked, asked: Asked) -> set[str]:
    """Return the names of what differs; ``windows`` for the target windows."""
    columns = {name for name in COLUMNS if before.columns[name] != asked.columns[name]}
    return columns | ({"windows"} if dict(before.windows) != dict(asked.windows) else set())
