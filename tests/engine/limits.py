"""Verdicts by a set of limits, for the tests of more than one module."""

from typing import Any

from tests.engine.cases_cleaning import gtaw, metal
from tests.engine.judging import case_of
from weldlog.engine.acceptance import Verdict, acceptance
from weldlog.engine.limit_sets import CONFIRMABLE
from weldlog.engine.school import SchoolRules

ALL = SchoolRules(confirmed_limits=tuple(CONFIRMABLE))


def verdicts(school: SchoolRules, **members: Any) -> dict[str, Verdict]:
    case = case_of(gtaw(**members), school)
    return {each.imperfection: each for each in acceptance(case)}


def iso(level: str, number: str, size_mm: float | None = None, **members: Any) -> Verdict:
    """Return the verdict of a level of ISO 10042 whose rows were all confirmed."""
    one = {"number": number} | ({} if size_mm is None else {"size_mm": size_mm})
    members = {"imperfections": [one], "acceptance_set": f"iso10042_{level}"} | members
    return verdicts(ALL, **members)[number]


def plate(thickness_mm: float) -> list[dict[str, Any]]:
    return [metal(thickness_mm=thickness_mm)]


def fillet(nominal_mm: float, leg_1_mm: float, leg_2_mm: float, **more: float) -> dict[str, float]:
    return {"nominal_leg_mm": nominal_mm, "leg_1_mm": leg_1_mm, "leg_2_mm": leg_2_mm, **more}
