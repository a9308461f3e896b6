"""Course plans and rubrics laid out for a school; one of each ships with weldlog.

The plan that ships is common practice, no source: a first plan to be edited, not a standard.
"""

import json
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from django.db import transaction
from django.utils.translation import gettext as _

from coursework import audit
from coursework.conflicts import Conflict
from coursework.models import (
    Act,
    CoursePlan,
    Criterion,
    Exercise,
    Level,
    Rubric,
    RubricVersion,
    School,
    TargetWindow,
    User,
)

FIXTURES: Final = Path(__file__).resolve().parents[1] / "fixtures"

type Fixture = dict[str, Any]


class PlanIsThere(Conflict):
    """The school has a course plan of this code already; the message says so."""


def fixture(name: str) -> Any:
    """Return what one file of ``fixtures/`` holds."""
    return json.loads((FIXTURES / name).read_text(encoding="utf-8"))


def publish_version(rubric: Rubric, document: Fixture, at: datetime) -> RubricVersion:
    """Store the first version of a rubric, with its criteria and what each level looks like."""
    version = RubricVersion.objects.create(
        rubric=rubric, number=1, origin=document["origin"], published_at=at
    )
    for place, each in enumerate(document["criteria"], start=1):
        criterion = Criterion.objects.create(
            version=version,
            place=place,
            key=each["key"],
            title=each["title"],
            weight=Decimal(each.get("weight", 0)),
            gate=each.get("gate", False),
            check_test=each.get("check_test", False),
        )
        Level.objects.bulk_create(
            Level(criterion=criterion, digit=digit, words=words)
            for digit, words in enumerate(each["levels"], start=1)
        )
    return version


def lay_out_rubrics(school: School, at: datetime) -> dict[str, Rubric]:
    """Store the rubrics that ship, where the school has none of that title; return all by title."""
    found = {}
    for document in fixture("rubrics.json"):
        rubric, new = Rubric.objects.get_or_create(school=school, title=document["title"])
        if new:
            publish_version(rubric, document, at)
        found[rubric.title] = rubric
    return found


@transaction.atomic
def lay_out_first_plan(school: School, *, by: User | None, at: datetime) -> CoursePlan:
    """Store the course plan that ships, with its rubrics.

    Raises
    ------
    PlanIsThere
        When the school has a plan of this code.
    """
    document = fixture("course_plan.json")
    if CoursePlan.objects.filter(school=school, code=document["code"]).exists():
        raise PlanIsThere(_("The course plan %(code)s is there already.") % document)
    plan = lay_out_plan(school, document, lay_out_rubrics(school, at))
    audit.record_act(by, Act.PLAN_STARTED, plan)
    return plan


def lay_out_plan(school: School, document: Fixture, rubrics: dict[str, Rubric]) -> CoursePlan:
    """Store a course plan with its exercises and their windows.

    Parameters
    ----------
    rubrics : dict
        The rubrics of the school by their titles.
    """
    plan = CoursePlan.objects.create(school=school, code=document["code"], title=document["title"])
    for place, each in enumerate(document["exercises"], start=1):
        exercise = Exercise.objects.create(
            plan=plan, place=place, rubric=rubrics[document["rubric"]], **_columns(each)
        )
        TargetWindow.objects.bulk_create(
            TargetWindow(exercise=exercise, figure=figure, low=low, high=high)
            for figure, (low, high) in each["windows"].items()
        )
    return plan


def _columns(exercise: Fixture) -> Fixture:
    return {name: value for name, value in exercise.items() if name != "windows"}
