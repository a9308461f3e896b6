"""The benchmarks run and say what they measured; how fast it was is for people to judge."""

import io
import re

import pytest
from django.core.management import CommandError, call_command

from coursework.benchmarks.coupons import coupons
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


def test_no_coupon_cannot_be_measured() -> None:
    with pytest.raises(CommandError, match="--coupons takes 1 or more"):
        printed("engine", "--coupons", "0")


def test_generated_coupons_are_the_same_every_time_and_fit_the_schema() -> None:
    made = [*coupons(200)]
    assert made == [*coupons(200)]
    for each in made:
        validator("coupon").validate(each)
