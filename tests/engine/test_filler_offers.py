"""What the filler guide offers, a review of the same joint does not stop.

Over every pair of the 34 alloys, every kind of weld, both processes and every service: a seeded
share in the short run, all of it in the long one.
"""

import random
from collections.abc import Iterator
from itertools import combinations_with_replacement, product
from typing import Any

import pytest

from tests.engine.contract import validator
from weldlog.engine.alloys import ALLOYS
from weldlog.engine.facts import Joint, Process, Weld, read
from weldlog.engine.filler_choice import FillerChoice, choose
from weldlog.engine.filler_metals import FILLERS
from weldlog.engine.findings import Finding
from weldlog.engine.review import review

PAIRS = [*combinations_with_replacement(ALLOYS, 2)]
SHAPES: tuple[tuple[Joint | None, Weld | None], ...] = (
    (None, "fillet"),
    ("lap", "fillet"),
    ("butt", "square_groove"),
    ("butt", "v_groove"),
    ("edge", None),
    ("corner", "square_groove"),
)
PROCESSES: tuple[Process, ...] = ("GTAW", "GMAW")
SERVICES: list[dict[str, Any]] = [
    dict(zip(("above_65_c", "anodised_after", "heat_treated_after"), each, strict=True))
    for each in product((False, True), repeat=3)
]

type Asked = tuple[tuple[str, str], tuple[Joint | None, Weld | None], Process, dict[str, Any]]


def chosen(asked: Asked) -> FillerChoice:
    pair, (joint, weld), process, service = asked
    return choose(*pair, joint=joint, weld=weld, process=process, **service)


def spoken(asked: Asked, filler: str) -> list[Finding]:
    """Return what a review of this joint with a filler says of metal and filler."""
    pair, (joint, weld), process, service = asked
    coupon: dict[str, Any] = {
        "process": process,
        "base_metals": [{"alloy": each} for each in pair],
        "filler": {"designation": filler},
        "service": service,
        **({"joint": joint} if joint else {}),
        **({"weld": weld} if weld else {}),
    }
    found = review(read(coupon)).findings
    return [each for each in found if each.rule.id.startswith(("alloy-", "filler-"))]


def reviewed(asked: Asked, filler: str) -> list[str]:
    """Return the stops that a review of this joint with a filler names."""
    return [each.rule.id for each in spoken(asked, filler) if each.severity == "stop"]


def some(number: int) -> Iterator[Asked]:
    chance = random.Random(20260914)  # noqa: S311 -- no secret is made of it
    for _ in range(number):
        shape, process = chance.choice(SHAPES), chance.choice(PROCESSES)
        yield chance.choice(PAIRS), shape, process, chance.choice(SERVICES)


def offered_and_stopped(asked: Asked) -> dict[str, list[str]]:
    offers = [e.designation for e in chosen(asked).fillers if e.verdict != "do_not_use"]
    return {wire: stops for wire in offers if (stops := reviewed(asked, wire))}


def test_nothing_is_offered_that_a_review_of_that_joint_stops() -> None:
    for asked in some(150):
        assert offered_and_stopped(asked) == {}, asked


@pytest.mark.parametrize("alloy", ALLOYS)
def test_nothing_is_offered_for_an_alloy_with_itself_that_a_review_stops(alloy: str) -> None:
    for shape, process in product(SHAPES[2:4], PROCESSES):
        asked = ((alloy, alloy), shape, process, SERVICES[0])
        assert offered_and_stopped(asked) == {}, asked


@pytest.mark.long
def test_nothing_is_offered_anywhere_that_a_review_of_that_joint_stops() -> None:
    # A lap melts as a tee does, and a corner as an edge.
    for asked in product(PAIRS, SHAPES[:1] + SHAPES[2:5], PROCESSES, SERVICES):
        assert offered_and_stopped(asked) == {}, asked


# What is offered for a fillet by GTAW, the joint of `manage.py filler` unless told, holds for one
# by GMAW too, which melts less of the base.
def test_what_is_offered_for_a_gtaw_fillet_holds_by_gmaw() -> None:
    for pair in PAIRS[::12]:
        gtaw = (pair, SHAPES[0], PROCESSES[0], SERVICES[0])
        offers = [e.designation for e in chosen(gtaw).fillers if e.verdict != "do_not_use"]
        wires = [each for each in offers if not FILLERS[each].rod_only]
        gmaw = (pair, SHAPES[0], PROCESSES[1], SERVICES[0])
        assert [each for each in wires if reviewed(gmaw, each)] == [], pair


# What the guide rules out, a review speaks against, and it does not ask for more of that filler.
def ruled_out_and_not_said(asked: Asked) -> list[str]:
    ruled_out = [e.designation for e in chosen(asked).fillers if e.verdict == "do_not_use"]
    return [wire for wire in ruled_out if not true_reasons(asked, wire)]


def true_reasons(asked: Asked, filler: str) -> list[str]:
    loud = [e for e in spoken(asked, filler) if e.severity in ("stop", "warn")]
    more = [e for e in loud if "more filler" in e.says and f"{filler} suits" not in e.says]
    return [] if more else [e.rule.id for e in loud]


def test_what_the_guide_rules_out_a_review_speaks_against() -> None:
    for asked in some(150):
        assert ruled_out_and_not_said(asked) == [], asked


@pytest.mark.parametrize("alloy", ALLOYS)
def test_what_the_guide_rules_out_for_one_alloy_a_review_speaks_against(alloy: str) -> None:
    for shape in SHAPES[:4]:
        asked = ((alloy, alloy), shape, PROCESSES[0], SERVICES[0])
        assert ruled_out_and_not_said(asked) == [], asked


@pytest.mark.long
def test_what_the_guide_rules_out_anywhere_a_review_speaks_against() -> None:
    for asked in product(PAIRS, SHAPES[:1] + SHAPES[2:5], PROCESSES, SERVICES[:1]):
        assert ruled_out_and_not_said(asked) == [], asked


# Common practice, no source: magnesium with copper cracks in any share, and no joint cures it.
@pytest.mark.parametrize("filler", ["5183", "5356", "5554", "5556", "5654", "5087"])
@pytest.mark.parametrize("pair", [("2219", "2219"), ("1100", "2219"), ("2219", "6061")])
def test_an_al_mg_filler_on_2219_is_a_stop(pair: tuple[str, str], filler: str) -> None:
    for shape in SHAPES:
        asked = (pair, shape, PROCESSES[0], SERVICES[0])
        assert reviewed(asked, filler) == ["filler-magnesium-on-copper"]


def test_what_is_printed_fits_the_contract() -> None:
    schema = validator("filler")
    for asked in some(60):
        schema.validate(chosen(asked).as_json())


@pytest.mark.long
def test_what_is_printed_for_every_pair_and_service_fits_the_contract() -> None:
    schema = validator("filler")
    for asked in product(PAIRS, SHAPES[:1], PROCESSES[:1], SERVICES):
        schema.validate(chosen(asked).as_json())


# The first choices of the notes on filler selection (table 3), read row by row from the left; a
# dash is a pair that is not recommended, * one that wants care. Documents: alloy-S1, S21a to S21d
# and S22 (read), the selection guides from memory; where they disagree ``filler_pairs.tsv`` says.
FIRST = """
1100 | 1100 4145* 4043 4043 5356 5356 5356 5356 4043 4043 4043 5356 4043
2219 | 2319 4145* 4043* - - - - 4043* 4043* 4043* - 4145*
3003 | 4043 4043 5356 5356 5356 5356 4043 4043 4043 5356 4043
3004 | 4043 5356 5356 5356 5356 4043 4043 4043 5356 4043
5052 | 5356 5356 5356 5356 5356 5356 5356 5356 4043*
5083 | 5183 5356 5356 5356 5356 5356 5183 5356*
5086 | 5356 5356 5356 5356 5356 5356 5356*
5454 | 5554 5356 5356 5356 5356 -
6061 | 4043 4043 4043 5356 4043
6063 | 4043 4043 5356 4043
6082 | 4043 5356 4043
7005 | 5356 4043*
356.0 | 4043
"""
NAMES = [line.split(" | ")[0] for line in FIRST.strip().splitlines()]


def _grid() -> Iterator[tuple[str, str, str]]:
    for place, line in enumerate(FIRST.strip().splitlines()):
        cells = line.split(" | ")[1].split()
        for other, cell in zip(NAMES[place:], cells, strict=True):
            yield NAMES[place], other, cell


@pytest.mark.parametrize(("alloy_a", "alloy_b", "cell"), [*_grid()])
def test_first_choice_of_the_notes(alloy_a: str, alloy_b: str, cell: str) -> None:
    choice = choose(alloy_a, alloy_b)
    first = [each.designation for each in choice.fillers if each.verdict == "first_choice"]
    assert first == ([] if cell == "-" else [cell.rstrip("*")])
    assert (choice.weldable == "not_recommended") == (cell == "-")
    if cell.endswith("*"):
        assert choice.weldable == "with_care"
