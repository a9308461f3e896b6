"""A section to measure pages with: students, exercises, coupons and grades by a fixed seed.

They are no data about anybody and stand for no school. What matters is that the rows are as many
and as long as those of a term, and that every part of a page has something to show.
"""

import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import product
from typing import Any, Final

from django.db import models, transaction
from django.utils import timezone

from coursework.models import (
    Assessment,
    CheckResult,
    Coupon,
    CouponFacts,
    CoursePlan,
    Enrolment,
    Exercise,
    Finding,
    Grade,
    Imperfection,
    Rubric,
    RubricVersion,
    School,
    SchoolSettings,
    Section,
    SignOff,
    TargetWindow,
    Term,
    User,
)

SEED: Final = 20260914
WEEKS: Final = 12
TITLES: Final = ("Puddle line", "Bead", "Pad of beads", "Corner", "Lap", "Tee", "Square butt")
SEEN: Final = ("2017", "5011", "401", "104", "303")
UNSAFE: Final = "safety-chlorinated-solvent"


@dataclass(frozen=True)
class Size:
    """How large a section is; ``coupons`` are those of one student."""

    students: int = 32
    exercises: int = 12
    coupons: int = 60

    @property
    def all_coupons(self) -> int:
        return self.students * self.coupons


@transaction.atomic
def make(size: Size) -> tuple[Section, User]:
    """Store a section of this size and return it with its instructor."""
    school = School.objects.create(name="School to measure with")
    SchoolSettings.objects.create(school=school)
    section = _section(school)
    exercises = _exercises(section.plan, size.exercises)
    instructor = _person(school, "instructor", User.Role.INSTRUCTOR)
    instructor.save()
    students = [_person(school, f"student{n:02}", User.Role.STUDENT) for n in range(size.students)]
    User.objects.bulk_create(students)
    joined = timezone.now() - timedelta(weeks=WEEKS)
    enrolments = [
        Enrolment(section=section, user=each, role=each.role, joined_at=joined)
        for each in (instructor, *students)
    ]
    Enrolment.objects.bulk_create(enrolments)
    _log(enrolments[1:], exercises, size.coupons, instructor)
    return section, instructor


def _section(school: School) -> Section:
    start = date.today() - timedelta(weeks=WEEKS, days=-3)  # noqa: DTZ011 -- any day will do
    term = Term.objects.create(
        school=school, name="Term", starts_on=start, ends_on=start + timedelta(weeks=WEEKS + 2)
    )
    plan = CoursePlan.objects.create(school=school, code="ALW 1", title="Aluminum Practice")
    return Section.objects.create(term=term, plan=plan, name="A")


def _person(school: School, username: str, role: str) -> User:
    name = {"first_name": "Person", "last_name": username.capitalize()}
    return User(school=school, username=username, role=role, **name)


def _exercises(plan: CoursePlan, number: int) -> list[Exercise]:
    rubric = Rubric.objects.create(school=plan.school, title="Practice coupon")
    RubricVersion.objects.create(rubric=rubric, number=1, published_at=timezone.now())
    exercises = [
        Exercise(
            plan=plan,
            place=place + 1,
            title=TITLES[place % len(TITLES)],
            process="GTAW",
            joint="tee",
            weld="fillet",
            position="PB",
            alloy="5052",
            thickness_mm=3.0,
            filler="5356",
            good_coupons_wanted=3,
            in_a_row_wanted=1 + place % 2,
            check_test="break" if place % 3 == 2 else "",
            due_week=place + 1,
            rubric=rubric,
        )
        for place in range(number)
    ]
    Exercise.objects.bulk_create(exercises)
    TargetWindow.objects.bulk_create(
        TargetWindow(exercise=each, figure=TargetWindow.Figure.HEAT_INPUT, low=0.15, high=0.4)
        for each in exercises
    )
    return exercises


def _log(
    enrolments: Sequence[Enrolment], exercises: Sequence[Exercise], number: int, grader: User
) -> None:
    """Store coupons with facts, assessments, findings, imperfections, grades and sign-offs."""
    chance = random.Random(SEED)  # noqa: S311 -- no secret is made of it
    now = timezone.now()
    coupons = [
        _coupon(enrolment, exercises, place, number, chance, now)
        for enrolment, place in product(enrolments, range(number))
    ]
    Coupon.objects.bulk_create(coupons)
    facts = [_facts(each) for each in coupons]
    CouponFacts.objects.bulk_create(facts)
    assessments = [_assessment(each, chance) for each in facts]
    Assessment.objects.bulk_create(assessments)
    Finding.objects.bulk_create(_findings(assessments, chance))
    Imperfection.objects.bulk_create(
        Imperfection(facts=each, place=1, number=chance.choice(SEEN))
        for each in facts
        if chance.random() < 0.5
    )
    graded = [each for each in coupons if each.state != Coupon.State.HANDED_IN]
    grades = {each.pk: _grade(each, facts, grader) for each in graded}
    Grade.objects.bulk_create(grades.values())
    for coupon, stated, assessment in zip(coupons, facts, assessments, strict=True):
        coupon.facts, coupon.assessment = stated, assessment
        coupon.grade = grades.get(coupon.pk)
    Coupon.objects.bulk_update(coupons, ["facts", "assessment", "grade"], batch_size=300)
    CheckResult.objects.bulk_create(_check_results(graded, grader, now))
    SignOff.objects.bulk_create(
        SignOff(enrolment=enrolment, exercise=exercise, signed_by=grader, signed_at=now)
        for enrolment, exercise in product(enrolments, exercises[: len(exercises) // 3])
    )


def _coupon(
    enrolment: Enrolment,
    exercises: Sequence[Exercise],
    place: int,
    number: int,
    chance: random.Random,
    now: datetime,
) -> Coupon:
    """Return a coupon of a student who works through the plan week after week."""
    left = timedelta(weeks=WEEKS) * (number - place) / (number + 1)
    decided = chance.choices(["accepted", "returned"], [7, 3])[0]
    return Coupon(
        client_id=f"00000000-0000-4000-8000-{place:012}",
        content_hash="0" * 64,
        enrolment=enrolment,
        section=enrolment.section,
        exercise=exercises[len(exercises) * place // number],
        number=place + 1,
        state=decided if place < number - 2 else Coupon.State.HANDED_IN,
        handed_in_at=now - left + timedelta(minutes=chance.randrange(600)),
        predicted_level=chance.randint(2, 4),
    )


def _facts(coupon: Coupon) -> CouponFacts:
    return CouponFacts(
        coupon=coupon,
        number=1,
        stated_by=coupon.enrolment.user,
        stated_at=coupon.handed_in_at,
        process="GTAW",
        joint="tee",
        weld="fillet",
        position="PB",
        polarity="AC",
        shielding_gas="argon",
        gas_flow_l_min=8.0,
        cleaning_asked=True,
        imperfections_asked=True,
    )


def _assessment(facts: CouponFacts, chance: random.Random) -> Assessment:
    speed = chance.gauss(4.0, 0.6)
    energy = 135 * 14 / 1000 / speed
    unsafe = facts.coupon.state == Coupon.State.HANDED_IN and chance.random() < 0.05
    figures: dict[str, Any] = {"travel_speed_mm_s": speed, "arc_energy_kj_mm": energy}
    return Assessment(
        facts=facts,
        edition="2026.1",
        rules_hash="0" * 64,
        assessed_at=facts.stated_at,
        travel_speed_mm_s=speed,
        arc_energy_kj_mm=energy,
        heat_input_kj_mm=energy * 0.6,
        stops=int(unsafe),
        safety_stops=int(unsafe),
        cleaning_slips=int(chance.random() < 0.25),
        figures=figures,
    )


def _findings(assessments: Iterable[Assessment], chance: random.Random) -> Iterator[Finding]:
    for each in assessments:
        found = [(UNSAFE, "stop")] if each.safety_stops else []
        if each.cleaning_slips:
            found.append(("cleaning-degrease-late", "warn"))
        if chance.random() < 0.5:
            found.append(("heat-outside-window", "advise"))
        for place, (rule, severity) in enumerate(found, start=1):
            yield Finding(
                assessment=each,
                place=place,
                rule=rule,
                severity=severity,
                says="Wipe first, then brush. Brushing spreads grease.",
                source="practice",
            )


def _grade(coupon: Coupon, facts: Sequence[CouponFacts], grader: User) -> Grade:
    level = 3 if coupon.state == Coupon.State.ACCEPTED else 2
    return Grade(
        coupon=coupon,
        number=1,
        facts=facts[coupon.pk - facts[0].coupon_id],
        rubric_version_id=_only(RubricVersion),
        grader=grader,
        graded_at=coupon.handed_in_at,
        released_at=coupon.handed_in_at,
        decision=coupon.state,
        level=level,
        weighted=Decimal(level),
    )


def _only(model: type[models.Model]) -> Any:
    return model._default_manager.values_list("pk", flat=True).get()


def _check_results(coupons: Iterable[Coupon], by: User, at: datetime) -> Iterator[CheckResult]:
    for each in coupons:
        if each.exercise.check_test:
            yield CheckResult(
                coupon=each, number=1, kind="break", passed=True, tested_by=by, tested_at=at
            )
