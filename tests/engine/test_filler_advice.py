"""No sentence names a filler that the same review would speak against."""

import random
import re
from collections.abc import Iterator
from itertools import combinations_with_replacement, product
from typing import Any

import pytest

from tests.engine.cases_alloy import fillet
from weldlog.engine import alloys, fillers
from weldlog.engine.alloys import ALLOYS
from weldlog.engine.facts import read
from weldlog.engine.figures import Figures
from weldlog.engine.filler_metals import FILLERS
from weldlog.engine.fillers import RULES
from weldlog.engine.findings import Case, Finding
from weldlog.engine.review import review
from weldlog.engine.school import DEFAULT
from weldlog.engine.weld_metal import weld_metal

SERVICES = ("above_65_c", "anodised_after", "heat_treated_after")
SHAPES: tuple[dict[str, Any], ...] = (
    {"joint": "tee", "weld": "fillet"},
    {"joint": "butt", "weld": "square_groove"},
    {"joint": "butt", "weld": "v_groove"},
    {"joint": "edge", "weld": "square_groove"},
)
NUMBER = re.compile(r"\b\d{4}A?\b")


def spoken(document: dict[str, Any]) -> tuple[Finding, ...]:
    facts = read(document)
    case = Case(facts, Figures(weld_metal=weld_metal(facts)), DEFAULT)
    said = (*alloys.check(case), *fillers.check(case))
    return tuple(each for each in said if isinstance(each, Finding))


def advised(found: Finding) -> set[str]:
    """Return the fillers that a sentence tells to use."""
    texts = (found.values.get("instead"), found.values.get("stronger"))
    return {name for text in texts for name in NUMBER.findall(str(text or ""))}


@pytest.mark.parametrize("rule", [*RULES, *alloys.RULES], ids=lambda rule: rule.id)
def test_no_sentence_names_a_filler_by_itself(rule: Any) -> None:
    # 5454 and 2219 are base metals here; what else has four digits is a year or a filler.
    assert set(NUMBER.findall(rule.says)) & set(FILLERS) == set()


PAIRS = [*combinations_with_replacement(ALLOYS, 2)]
GIVEN = [None, "6061", *FILLERS]
ASKED = [
    {name: True for name, on in zip(SERVICES, each, strict=True) if on}
    for each in product((False, True), repeat=3)
]
PROCESSES = ("GTAW", "GMAW")

type Choice = tuple[tuple[str, str], str | None, dict[str, Any], str, dict[str, bool]]


def coupon(choice: Choice) -> dict[str, Any]:
    pair, filler, shape, process, service = choice
    return fillet(*pair, filler=filler, process=process, service=service, **shape)


def some(number: int) -> Iterator[Choice]:
    chance = random.Random(20260914)  # noqa: S311 -- no secret is made of it
    for _ in range(number):
        shape, process = chance.choice(SHAPES), chance.choice(PROCESSES)
        yield chance.choice(PAIRS), chance.choice(GIVEN), shape, process, chance.choice(ASKED)


def names_a_flagged_filler(document: dict[str, Any]) -> list[str]:
    bad = []
    for found in spoken(document):
        for name in advised(found):
            other = spoken(document | {"filler": {"designation": name}})
            stops = [each.rule.id for each in other if each.severity == "stop"]
            warned = [each.rule.id for each in other if each.severity == "warn"]
            with_care = "with care" in found.says
            if stops or (warned and not with_care):
                bad.append(f"{found.rule.id} names {name}, which draws {stops or warned}")
    return bad


def test_what_a_sentence_advises_draws_neither_stop_nor_warning() -> None:
    for choice in some(400):
        assert names_a_flagged_filler(coupon(choice)) == [], choice


@pytest.mark.long
def test_what_a_sentence_advises_draws_neither_stop_nor_warning_anywhere() -> None:
    for choice in product(PAIRS, GIVEN, SHAPES, PROCESSES, ASKED):
        assert names_a_flagged_filler(coupon(choice)) == [], choice


# Common practice, no source: magnesium with copper in one weld. The refusal of the pair is what
# the student is to act on, so it comes first and no filler is named.
@pytest.mark.parametrize("filler", [None, *FILLERS])
@pytest.mark.parametrize("pair", ["2219 5083", "2219 5052", "2219 7005", "5454 356.0"])
def test_a_pair_that_is_not_recommended_is_refused_first(pair: str, filler: str | None) -> None:
    result = review(read(fillet(*pair.split(), filler=filler)))
    assert result.findings[0].rule.id == "filler-pair-not-recommended"
    assert result.next_try
    assert result.next_try.rule == "filler-pair-not-recommended"
    assert all(not advised(each) for each in result.findings)


# Guidelines for choosing 4043 or 5356 (bolilai.net, read): no silicon above 2.5 % magnesium.
def test_alloy_r1_still_speaks_in_a_pair_that_is_refused() -> None:
    found = {each.rule.id: each.severity for each in spoken(fillet("2219", "5083", filler="4043"))}
    assert found["filler-silicon-on-magnesium"] == "stop"


@pytest.mark.parametrize("filler", [None, "4043", "5356"])
@pytest.mark.parametrize("other", ["6061", "5083", "1100"])
def test_an_alloy_that_is_not_for_arc_welding_comes_first(other: str, filler: str | None) -> None:
    result = review(read(fillet("7075", other, filler=filler)))
    assert result.next_try
    assert result.next_try.rule == "alloy-not-for-arc-welding"
    assert all(not advised(each) for each in result.findings)


@pytest.mark.parametrize(
    ("document", "advice"),
    [
        (fillet("5083", filler="4043"), "5183 or 5356 suits this joint."),
        (fillet("6061", filler=None), "4043 or 5356 suits this joint."),
        (
            fillet("6061", filler="5356", service={"heat_treated_after": True}),
            "4043 or 4643 suits this joint.",
        ),
        (fillet("5052", "356.0", filler="5356"), "The charts name 4043 or 4047, with care."),
        (
            fillet("5052", filler="5356", service={"above_65_c": True}),
            "The charts name 5554 or 4043, with care.",
        ),
        (fillet("5083", "356.0", filler="5356"), "Even so, the charts name it for this joint."),
        (
            fillet("7005", filler="5356", service={"heat_treated_after": True}),
            "Ask your instructor which filler suits this joint.",
        ),
        (
            fillet("5083", filler="5356", service={"above_65_c": True}),
            "No filler suits this joint.",
        ),
        (fillet("unknown", "5083", filler="4043"), "Ask your instructor which filler suits"),
    ],
)
def test_advice_fits_the_joint_and_the_service(document: dict[str, Any], advice: str) -> None:
    assert any(advice in each.says for each in spoken(document))


def test_a_filler_that_may_not_be_used_is_not_asked_for_more_generously() -> None:
    warm = fillet("6061", filler="5356", service={"above_65_c": True})
    assert [each.rule.id for each in spoken(warm)] == ["filler-warm-service"]


# A fillet in 6061 that serves warm: 5356 would be stronger, and may not be used.
def test_a_stronger_filler_is_only_hinted_at_where_it_may_be_used() -> None:
    plain = {each.rule.id for each in spoken(fillet("6061", filler="4043"))}
    warm = fillet("6061", filler="4043", service={"above_65_c": True})
    assert "filler-fillet-shear" in plain
    assert "filler-fillet-shear" not in {each.rule.id for each in spoken(warm)}
