"""A section whose coupons, names and words are all that somebody can type, and files of it."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.db import connection
from django.test.utils import CaptureQueriesContext

from coursework import access
from coursework.exports.files import OWN_FILES, SECTION_FILES
from coursework.models import Coupon, Enrolment, Section, User
from tests.coursework.hostile import HOSTILE
from tests.factories import (
    EnrolmentFactory,
    ExerciseFactory,
    StudentFactory,
    grade_coupon,
    hand_in_coupon,
)


def section_file(name: str, section: Section, staff: User, folder: Path) -> bytes:
    """Return a file of a section, made as its page makes it."""
    found = access.section_for_staff(staff, section.pk)
    return _written(SECTION_FILES[name].write, found, folder)


def own_file(name: str, student: User, folder: Path) -> bytes:
    """Return a file that a student has of the own coupons."""
    return _written(OWN_FILES[name].write, student, folder)


def _written(write: Callable[..., None], about: Any, folder: Path) -> bytes:
    path = folder / "made"
    write(about, path, lambda _done, _of: None)
    return path.read_bytes()


def queries_of(name: str, section: Section, staff: User, folder: Path) -> int:
    """Return how many queries a file of a section costs."""
    found = access.section_for_staff(staff, section.pk)
    with CaptureQueriesContext(connection) as queries:
        SECTION_FILES[name].write(found, folder / "made", lambda _done, _of: None)
    return len(queries)


def log_hostile_section(section: Section, grader: User) -> list[Coupon]:
    """Give every hostile text a student, an exercise, an alloy and the words to the student."""
    return [_hostile(section, grader, n, text) for n, text in enumerate(HOSTILE, start=1)]


def _hostile(section: Section, grader: User, n: int, text: str) -> Coupon:
    student = StudentFactory.create(
        school=section.term.school,
        # So that the order of the students is that of the texts.
        last_name=f"{n:02}",
        first_name=text[:150],
        student_number=text[:20] + f"{n:02}",
        username=f"hostile{n}",
    )
    enrolment: Enrolment = EnrolmentFactory.create(section=section, user=student)
    exercise = ExerciseFactory.create(plan=section.plan, title=text[:80], check_test="saw")
    coupon = hand_in_coupon(enrolment, exercise)
    assert coupon.facts
    coupon.facts.base_metals.update(alloy=text[:24], temper="")
    coupon.facts.reason = text
    coupon.facts.save()
    grade_coupon(coupon, grader, comment=text)
    coupon.check_results.create(
        number=1,
        kind="saw",
        passed=True,
        largest_opening_mm=0.5,
        note=text,
        tested_by=grader,
        tested_at=coupon.handed_in_at,
    )
    return coupon
