"""Files of a section with ten thousand coupons: made in bounded memory."""

import itertools
import tracemalloc
import uuid
from pathlib import Path
from typing import Any

import pytest
from django.db import models

from coursework.exports.files import SECTION_FILES
from coursework.models import (
    Assessment,
    BaseMetal,
    CleaningStep,
    Coupon,
    CouponFacts,
    Enrolment,
    Exercise,
    Finding,
    Grade,
    Imperfection,
    Run,
    Score,
    Section,
    User,
)
from tests.factories import clean_document, grade_coupon, hand_in_coupon

COUPONS = 10_000
# A coupon with all that is known of it takes some 65 kB, so all of them would take 650 MB. Rows
# that are done with point at one another, and stay until Python next looks for such [bytes].
MOST_BYTES = 80_000_000
HEAVIEST = ("workbook.xlsx", "coupons.json")


@pytest.fixture
def many(enrolment: Enrolment, exercise: Exercise, instructor: User) -> int:
    """Store ten thousand like coupons, each with findings and a grade."""
    document = clean_document(exercise, polarity="DCEN", gas_flow_l_min=3)
    document["imperfections"] = [{"number": "2017"}, {"number": "104"}]
    coupon = hand_in_coupon(enrolment, exercise, document)
    grade_coupon(coupon, instructor)
    for at in range(1, COUPONS, 1_000):
        _copy(coupon, range(at + 1, min(at + 1_000, COUPONS) + 1))
    return Coupon.objects.count()


def _copy(coupon: Coupon, numbers: range) -> None:
    """Store copies of a coupon under these numbers."""
    assert coupon.facts
    assert coupon.assessment
    assert coupon.grade
    made = Coupon.objects.bulk_create(
        _like(coupon, number=n, client_id=uuid.uuid4(), public_id=uuid.uuid4(), facts=None,
              assessment=None, grade=None)
        for n in numbers
    )  # fmt: skip
    facts = _copies(CouponFacts, coupon.facts, "coupon", made)
    for kind in (BaseMetal, Run, CleaningStep, Imperfection):
        _rows(kind, "facts", coupon.facts, facts)
    found = _copies(Assessment, coupon.assessment, "facts", facts)
    _rows(Finding, "assessment", coupon.assessment, found)
    grades = Grade.objects.bulk_create(
        _like(coupon.grade, coupon=own, facts=stated)
        for own, stated in zip(made, facts, strict=True)
    )
    _rows(Score, "grade", coupon.grade, grades)
    for own, stated, assessed, grade in zip(made, facts, found, grades, strict=True):
        own.facts, own.assessment, own.grade = stated, assessed, grade
    Coupon.objects.bulk_update(made, ["facts", "assessment", "grade"], batch_size=200)


def _like(row: Any, **changes: Any) -> Any:
    columns = {each.attname: getattr(row, each.attname) for each in row._meta.concrete_fields}
    columns.pop("id")
    for name in changes:
        columns.pop(f"{name}_id", None)
    return type(row)(**(columns | changes))


def _copies(kind: type[models.Model], row: Any, of: str, parents: list[Any]) -> list[Any]:
    return kind._default_manager.bulk_create(_like(row, **{of: each}) for each in parents)


def _rows(kind: type[models.Model], of: str, first: Any, parents: list[Any]) -> None:
    rows = list(kind._default_manager.filter(**{of: first}))
    pairs = itertools.product(parents, rows)
    kind._default_manager.bulk_create(_like(row, **{of: parent}) for parent, row in pairs)


@pytest.mark.long
def test_memory_does_not_grow_with_the_log(
    many: int, section: Section, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert many == COUPONS
    peaks = {name: _peak_bytes(name, section, tmp_path) for name in HEAVIEST}
    with capsys.disabled():
        print({name: f"{peak / 1e6:.0f} MB" for name, peak in peaks.items()})  # noqa: T201
    assert max(peaks.values()) < MOST_BYTES


def _peak_bytes(name: str, section: Section, folder: Path) -> int:
    tracemalloc.start()
    try:
        SECTION_FILES[name].write(section, folder / name, lambda _done, _of: None)
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
