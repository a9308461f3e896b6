"""Rows for tests. A coupon is handed in and reviewed for real, a grade is scored on the rubric."""

# factory-boy says that it is typed, and its declarations are not.
# mypy: disable-error-code="attr-defined,no-untyped-call,untyped-decorator"

import hashlib
import json
import uuid
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import factory
from factory.django import DjangoModelFactory

from coursework import second_looks
from coursework.hand_in import Statement, hand_in
from coursework.models import (
    Coupon,
    CoursePlan,
    Criterion,
    Enrolment,
    Exercise,
    Grade,
    Rubric,
    School,
    SchoolSettings,
    Score,
    SecondLook,
    Section,
    TargetWindow,
    Term,
    User,
)
from coursework.models.facts import Document
from coursework.plans import fixture, publish_version

PASSWORD = "brush one way"  # noqa: S105 - of people made for a test
TERM_START = date(2026, 8, 24)
MOMENT = datetime(2026, 9, 14, 15, 0, tzinfo=UTC)

RUBRIC = fixture("rubrics.json")[0]


class SchoolFactory(DjangoModelFactory[School]):
    """A school with its settings as they are at first."""

    class Meta:
        model = School
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Test School {n}")

    @factory.post_generation
    def settings(self: School, _create: bool, extracted: dict[str, Any] | None) -> None:
        """Make the settings; ``settings={"units": "metric"}`` changes some."""
        SchoolSettings.objects.create(school=self, **(extracted or {}))


class TermFactory(DjangoModelFactory[Term]):
    """A term of twelve weeks."""

    class Meta:
        model = Term

    school = factory.SubFactory(SchoolFactory)
    name = factory.Sequence(lambda n: f"Fall {n}")
    starts_on = TERM_START
    ends_on = TERM_START + timedelta(days=83)


class UserFactory(DjangoModelFactory[User]):
    """A person of a school; ``force_login`` needs no password, the sign-in page takes PASSWORD."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    school = factory.SubFactory(SchoolFactory)
    username = factory.Sequence(lambda n: f"person{n}")
    first_name = "Test"
    last_name = factory.Sequence(lambda n: f"Person{n}")
    role = User.Role.STUDENT
    password = factory.django.Password(PASSWORD)


class StudentFactory(UserFactory):
    """A student."""

    student_number = factory.Sequence(lambda n: f"S{n:05}")


class InstructorFactory(UserFactory):
    """An instructor."""

    role = User.Role.INSTRUCTOR


class CoordinatorFactory(UserFactory):
    """A coordinator."""

    role = User.Role.COORDINATOR


class RubricFactory(DjangoModelFactory[Rubric]):
    """The rubric of the fixtures: a gate, weights and one criterion for the check test."""

    class Meta:
        model = Rubric
        skip_postgeneration_save = True

    school = factory.SubFactory(SchoolFactory)
    title = factory.Sequence(lambda n: f"Practice coupon {n}")

    @factory.post_generation
    def version(self: Rubric, _create: bool, extracted: dict[str, Any] | None) -> None:
        """Publish its version; ``version={...}`` gives another document."""
        publish_version(self, extracted or RUBRIC, MOMENT)


class CoursePlanFactory(DjangoModelFactory[CoursePlan]):
    """A course plan without exercises."""

    class Meta:
        model = CoursePlan

    school = factory.SubFactory(SchoolFactory)
    code = factory.Sequence(lambda n: f"ALW {n}")
    title = "Aluminum Practice"


class ExerciseFactory(DjangoModelFactory[Exercise]):
    """A GTAW tee fillet in 5052 with windows for travel speed, heat input, current and gas."""

    class Meta:
        model = Exercise
        skip_postgeneration_save = True

    plan = factory.SubFactory(CoursePlanFactory)
    place = factory.LazyAttribute(lambda each: each.plan.exercises.count() + 1)
    title = "Tee"
    process = "GTAW"
    joint = "tee"
    weld = "fillet"
    position = "PB"
    alloy = "5052"
    temper = "H32"
    thickness_mm = 3.2
    filler = "5356"
    nominal_leg_mm = 4.0
    good_coupons_wanted = 2
    due_week = 4
    rubric = factory.SubFactory(RubricFactory, school=factory.SelfAttribute("..plan.school"))

    @factory.post_generation
    def windows(self: Exercise, _create: bool, extracted: dict[str, Any] | None) -> None:
        """Make the windows; ``windows={"current_a": (90, 110)}`` gives others."""
        usual = {
            "travel_speed_mm_s": (3.0, 5.5),
            "heat_input_kj_mm": (0.15, 0.4),
            "current_a": (125, 160),
            "gas_flow_l_min": (6, 10),
        }
        TargetWindow.objects.bulk_create(
            TargetWindow(exercise=self, figure=figure, low=low, high=high)
            for figure, (low, high) in (usual if extracted is None else extracted).items()
        )


class SectionFactory(DjangoModelFactory[Section]):
    """A section whose term and plan are of one school."""

    class Meta:
        model = Section

    term = factory.SubFactory(TermFactory)
    plan = factory.SubFactory(CoursePlanFactory, school=factory.SelfAttribute("..term.school"))
    name = factory.Sequence(lambda n: f"S{n}")


class EnrolmentFactory(DjangoModelFactory[Enrolment]):
    """A student in a section; for an instructor pass both ``user`` and ``role``."""

    class Meta:
        model = Enrolment

    section = factory.SubFactory(SectionFactory)
    user = factory.SubFactory(StudentFactory, school=factory.SelfAttribute("..section.term.school"))
    role = factory.SelfAttribute("user.role")
    joined_at = datetime(2026, 8, 24, 14, 0, tzinfo=UTC)


def clean_document(exercise: Exercise, **changes: Any) -> Document:
    """Return a coupon of the exercise that was prepared, set up and welded as taught.

    A change to ``None`` takes the member out: nobody was asked for it.
    """
    document: Document = {
        "process": exercise.process,
        "joint": exercise.joint,
        "weld": exercise.weld,
        "position": exercise.position,
        "base_metals": [
            {
                "alloy": exercise.alloy,
                "temper": exercise.temper,
                "thickness_mm": exercise.thickness_mm,
                "stored": "indoors",
                "coating": "none",
            }
        ],
        "filler": _filler(exercise),
        "polarity": "AC",
        "current_a": 135,
        "voltage_v": 14,
        "weld_length_mm": 150,
        "arc_time_s": 37.5,
        "shielding_gas": "argon",
        "gas_flow_l_min": 8,
        "crater_filled": True,
        "cleaning": [
            {"step": "degrease", "agent": "acetone", "tool": "lint_free_cloth"},
            {"step": "dry"},
            {
                "step": "remove_oxide",
                "tool": "stainless_hand_brush",
                "tool_kept_for": "aluminium_only",
            },
        ],
        "minutes_since_cleaning": 15,
        "imperfections": [],
    }
    return {name: value for name, value in (document | changes).items() if value is not None}


def _filler(exercise: Exercise) -> Document | None:
    if not exercise.filler:
        return None
    return {
        "designation": exercise.filler,
        "form": "cut_length",
        "diameter_mm": 2.4,
        "condition": "wiped",
    }


def hand_in_coupon(
    enrolment: Enrolment,
    exercise: Exercise,
    document: Document | None = None,
    *,
    at: datetime = MOMENT,
    predicted_level: int | None = 3,
) -> Coupon:
    """Return a coupon handed in and reviewed, through the same door as the page's."""
    document = document or clean_document(exercise)
    coupon, _ = hand_in(
        enrolment,
        exercise,
        Statement(document=document, predicted_level=predicted_level),
        client_id=uuid.uuid4(),
        content_hash=hashlib.sha256(json.dumps(document).encode()).hexdigest(),
        photos=(),
        at=at,
    )
    return coupon


def grade_coupon(
    coupon: Coupon,
    grader: User,
    *,
    level: int = 3,
    decision: str = Grade.Decision.ACCEPTED,
    comment: str = "Even ripples. Next time hold the arc shorter.",
    reason: str = "",
    at: datetime = MOMENT + timedelta(days=1),
) -> Grade:
    """Return a grade that gives every criterion of the rubric the same level."""
    assert coupon.facts
    version = coupon.exercise.rubric.current()
    grade = Grade.objects.create(
        coupon=coupon,
        number=coupon.grades.count() + 1,
        facts=coupon.facts,
        rubric_version=version,
        grader=grader,
        graded_at=at,
        released_at=at,
        decision=decision,
        level=level,
        weighted=Decimal(level),
        comment=comment,
        reason=reason,
    )
    Score.objects.bulk_create(
        Score(grade=grade, criterion=each, level=level) for each in _scored(coupon, version.pk)
    )
    coupon.grade, coupon.state, coupon.version = grade, decision, coupon.version + 1
    coupon.save()
    return grade


def _scored(coupon: Coupon, version: int) -> list[Criterion]:
    asked = Criterion.objects.filter(version=version)
    return list(asked if coupon.exercise.check_test else asked.filter(check_test=False))


def second_look_of(section: Section, exercise: Exercise) -> SecondLook:
    """Return a coupon that a further instructor graded, drawn for a second grading."""
    colleague = InstructorFactory.create(school=section.term.school)
    EnrolmentFactory.create(section=section, user=colleague)
    graded = hand_in_coupon(EnrolmentFactory.create(section=section), exercise)
    look = second_looks.draw(grade_coupon(graded, colleague), chance=0)
    assert look
    return look
