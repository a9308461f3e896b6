"""The benchmarks run and say what they measured; how fast it was is for people to judge."""

import io
import re

import pytest
from django.core.management import CommandError, call_command
from django.db.models import F

from coursework.benchmarks import pages, record
from coursework.benchmarks.copies import copy_section, spans
from coursework.benchmarks.coupons import coupons
from coursework.benchmarks.section_rows import Size, make
from coursework.models import Coupon, Section
from tests.conftest import ON_POSTGRESQL
from tests.engine.contract import EXAMPLES, validator


def printed(*arguments: str) -> str:
    out = io.StringIO()
    call_command("bench", *arguments, stdout=out)
    return out.getvalue()


def test_the_engine_is_measured_against_json_and_by_the_thousand(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("coursework.benchmarks.engine.ROUNDS", 1)
    monkeypatch.setattr("coursework.benchmarks.engine.A_ROUND", 2)
    said = printed("engine", "--coupons", "20")
    for path in EXAMPLES:
        assert re.search(rf"{path.stem} +\d+ us / +\d+ us = +[\d.]+ times", said)
    assert re.search(r"\b20 +[\d.]+ s CPU, \d+ MB at most; \d+ a second", said)


@pytest.mark.parametrize(("what", "option"), [("engine", "--coupons"), ("pages", "--each")])
def test_no_coupon_cannot_be_measured(what: str, option: str) -> None:
    with pytest.raises(CommandError, match=f"{option} takes 1 or more"):
        printed(what, option, "0")


def test_generated_coupons_are_the_same_every_time_and_fit_the_schema() -> None:
    made = [*coupons(200)]
    assert made == [*coupons(200)]
    for each in made:
        validator("coupon").validate(each)


@pytest.mark.django_db
def test_the_section_page_is_measured_against_a_table_of_its_size(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pages, "ROUNDS", 1)
    section, instructor = make(Size(students=3, exercises=4, coupons=8))
    assert section.coupons.count() == 24
    found = pages.measure(section, instructor)
    assert 0 < found.queries <= pages.GOAL_QUERIES
    assert found.cells > 3 * 4
    assert found.times > 0
    assert "24 coupons" in pages.line(24, found)


@pytest.mark.postgres(only=True)
@pytest.mark.django_db
def test_copies_of_a_section_are_whole_and_apart() -> None:
    section, instructor = make(Size(students=2, exercises=3, coupons=4))
    copy_section([1, 2], spans())
    assert Coupon.objects.count() == 3 * 8
    for copy in Section.objects.exclude(pk=section.pk):
        coupons = Coupon.objects.filter(section=copy, enrolment__section=copy)
        assert coupons.filter(facts__coupon=F("pk"), assessment__facts=F("facts")).count() == 8
    assert pages.measure(section, instructor).queries > 0


@pytest.mark.skipif(ON_POSTGRESQL, reason="is refused on SQLite alone")
def test_a_large_database_needs_postgresql() -> None:
    with pytest.raises(CommandError, match="WELDLOG_DATABASE_URL"):
        printed("pages", "--coupons", "10000")


@pytest.mark.pdf
def test_the_pdfs_of_a_section_are_measured_in_processes_of_their_own() -> None:
    said = "\n".join(record.report(students=2, coupons=4))
    assert "PDF of a section of 2 records" in said
    assert re.search(r"WeasyPrint alone .*: [\d.]+ s CPU / [\d.]+ s = [\d.]+ times", said)
    assert re.search(r"one worker: [\d.]+ s, [\d.]+ s CPU, \d+ MB at most", said)
    assert re.search(r"two workers at once: .* [\d.]+ times the files", said)
    assert re.search(r"one record in a warm process: [\d.]+ s", said)
