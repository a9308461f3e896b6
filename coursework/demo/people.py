"""The invented school, its term and everybody in it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cache
from typing import Final
from zoneinfo import ZoneInfo

from django.contrib.auth.hashers import make_password

from coursework.demo.calendar import Calendar, ShopHours
from coursework.models import (
    CoursePlan,
    Enrolment,
    School,
    SchoolSettings,
    Section,
    Term,
    User,
)
from coursework.plans import Fixture, fixture, lay_out_first_plan

PASSWORD: Final = "wipe dry brush weld"  # noqa: S105 - printed for everybody; all people are invented
PEOPLE: Final = fixture("people.json")


def calendar(today: date) -> Calendar:
    """Return the calendar of the invented school."""
    return Calendar(today, ZoneInfo(PEOPLE["time_zone"]))


@dataclass(frozen=True, slots=True)
class Learner:
    """One student and what is told of them: ``stuck``, ``ahead``, ``walks`` or nothing."""

    enrolment: Enrolment
    story: str

    @property
    def username(self) -> str:
        """The name that the student's own chance is drawn by."""
        return self.enrolment.user.username


@dataclass(frozen=True, slots=True)
class ShopSection:
    """One section: its shop hours, its students, and who grades them, most often first."""

    section: Section
    hours: ShopHours
    learners: list[Learner]
    graders: list[User]


@dataclass(frozen=True, slots=True)
class InventedSchool:
    """The school with its course plan and its sections."""

    school: School
    plan: CoursePlan
    calendar: Calendar
    sections: list[ShopSection]


def found_school(today: date) -> InventedSchool:
    """Store the school, its settings, plan, term, sections and people."""
    days = calendar(today)
    school = School.objects.create(name=PEOPLE["school"])
    SchoolSettings.objects.create(
        school=school, units=PEOPLE["units"], time_zone=PEOPLE["time_zone"]
    )
    plan = lay_out_first_plan(school, by=None, at=days.opened_at)
    term = Term.objects.create(
        school=school,
        name=f"Fall term {days.starts_on:%Y}",
        starts_on=days.starts_on,
        ends_on=days.ends_on,
    )
    staff = [_person(school, each, User.Role.INSTRUCTOR) for each in PEOPLE["instructors"]]
    _person(school, PEOPLE["coordinator"], User.Role.COORDINATOR)
    sections = [
        _section(each, term, plan, days, staff[turn:] + staff[:turn])
        for turn, each in enumerate(PEOPLE["sections"])
    ]
    return InventedSchool(school, plan, days, sections)


@cache
def _hash() -> str:
    """Return the one hash of the one password: making it for each person takes 10 s."""
    return make_password(PASSWORD)


def _person(school: School, document: Fixture, role: str, number: str = "") -> User:
    return User.objects.create(
        school=school,
        username=document["username"],
        first_name=document["first_name"],
        last_name=document["last_name"],
        role=role,
        student_number=number,
        password=_hash(),
    )


def _section(
    document: Fixture, term: Term, plan: CoursePlan, days: Calendar, graders: list[User]
) -> ShopSection:
    section = Section.objects.create(
        term=term, plan=plan, name=document["name"], join_code=document["join_code"]
    )
    for each in graders:
        _enrol(section, each, days.opened_at, lead=each is graders[0])
    return ShopSection(
        section=section,
        hours=ShopHours(
            calendar=days,
            days=days.shop_days(document["shop_days"]),
            opens=time.fromisoformat(document["opens"]),
            closes=time.fromisoformat(document["closes"]),
        ),
        learners=list(_learners(section, document["students"], days)),
        graders=graders,
    )


def _enrol(section: Section, user: User, at: datetime, *, lead: bool = False) -> Enrolment:
    return Enrolment.objects.create(
        section=section, user=user, role=user.role, joined_at=at, lead=lead
    )


def _learners(section: Section, students: list[Fixture], days: Calendar) -> Iterator[Learner]:
    for count, each in enumerate(students, start=1):
        number = f"TH-{section.name}{count:03}"
        user = _person(section.term.school, each, User.Role.STUDENT, number)
        joined = days.opened_at + timedelta(minutes=30 + count)
        yield Learner(_enrol(section, user, joined), each.get("story", ""))
