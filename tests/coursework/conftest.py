"""One school with two sections, its people, an exercise and a coupon."""

import logging
from collections.abc import Callable, Iterator

import pytest
from django.test import Client

from coursework.models import Coupon, CoursePlan, Enrolment, Exercise, School, Section, User
from tests.factories import (
    CoordinatorFactory,
    CoursePlanFactory,
    EnrolmentFactory,
    ExerciseFactory,
    InstructorFactory,
    SchoolFactory,
    SectionFactory,
    StudentFactory,
    TermFactory,
    grade_coupon,
    hand_in_coupon,
)


@pytest.fixture
def school(db: None) -> School:
    """The school that everybody here belongs to."""
    return SchoolFactory.create(name="Tern Harbor Technical Institute")


@pytest.fixture
def plan(school: School) -> CoursePlan:
    """The course plan of both sections."""
    return CoursePlanFactory.create(school=school, code="ALW 12")


@pytest.fixture
def section(school: School, plan: CoursePlan) -> Section:
    """The section of ``student`` and ``instructor``."""
    term = TermFactory.create(school=school, name="Fall 2026")
    return SectionFactory.create(term=term, plan=plan, name="A")


@pytest.fixture
def other_section(section: Section) -> Section:
    """A second section of the same term and plan."""
    return SectionFactory.create(term=section.term, plan=section.plan, name="B")


def _student(section: Section, username: str, last_name: str) -> User:
    user = StudentFactory.create(
        school=section.term.school, username=username, first_name="Ansa", last_name=last_name
    )
    EnrolmentFactory.create(section=section, user=user)
    return user


def _instructor(section: Section, username: str, last_name: str) -> User:
    user = InstructorFactory.create(
        school=section.term.school, username=username, first_name="Odo", last_name=last_name
    )
    EnrolmentFactory.create(section=section, user=user)
    return user


@pytest.fixture
def student(section: Section) -> User:
    """A student of ``section``."""
    return _student(section, "ansa", "Quill")


@pytest.fixture
def classmate(section: Section) -> User:
    """Another student of ``section``."""
    return _student(section, "bero", "Tansy")


@pytest.fixture
def stranger(other_section: Section) -> User:
    """A student of another section."""
    return _student(other_section, "cilla", "Rook")


@pytest.fixture
def instructor(section: Section) -> User:
    """An instructor who teaches ``section``."""
    return _instructor(section, "odo", "Hale")


@pytest.fixture
def other_instructor(other_section: Section) -> User:
    """An instructor who teaches another section."""
    return _instructor(other_section, "pim", "Vane")


@pytest.fixture
def coordinator(school: School) -> User:
    """The coordinator of the school."""
    return CoordinatorFactory.create(
        school=school, username="runa", first_name="Runa", last_name="Moss"
    )


@pytest.fixture
def enrolment(student: User, section: Section) -> Enrolment:
    """The enrolment of ``student``."""
    return Enrolment.objects.get(user=student, section=section)


@pytest.fixture
def exercise(plan: CoursePlan) -> Exercise:
    """The first exercise of the plan."""
    return ExerciseFactory.create(plan=plan)


@pytest.fixture
def coupon(enrolment: Enrolment, exercise: Exercise) -> Coupon:
    """A coupon that ``student`` handed in and nobody has graded."""
    return hand_in_coupon(enrolment, exercise)


@pytest.fixture
def graded_coupon(enrolment: Enrolment, exercise: Exercise, instructor: User) -> Coupon:
    """A coupon of ``student`` that ``instructor`` accepted at level 3."""
    graded = hand_in_coupon(enrolment, exercise)
    grade_coupon(graded, instructor)
    return graded


@pytest.fixture
def client_of() -> Callable[[User], Client]:
    """Return a browser in which a person is signed in."""

    def signed_in(user: User) -> Client:
        client = Client()
        client.force_login(user)
        return client

    return signed_in


@pytest.fixture
def loud(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """Fail on anything that the PDF library complains of: missing alt, language, odd style.

    A sign that no font of this machine has, such as an emoji, is not the record's fault.
    """
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        yield
    said = [each for each in caplog.get_records("call") if each.name.startswith("weasyprint")]
    assert [each.message for each in said if "unsupported by fonts" not in each.message] == []
