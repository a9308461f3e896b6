"""Every piece of evidence of the cause matrix is found in some log: no cause is dead.

What a cause rests on stands in ``causes.tsv`` with its source; here each condition and each rule
that it names is made true by a coupon, and the cause is then one that the log speaks for.
"""

from typing import Any

import pytest

from tests.engine.test_rules import CASES
from weldlog.engine.causes import CAUSES, CauseRow, FiredRule, Log
from weldlog.engine.conditions import Comparison
from weldlog.engine.facts import read
from weldlog.engine.findings import Case
from weldlog.engine.review import review
from weldlog.engine.school import DEFAULT

Document = dict[str, Any]
PIECES = [
    pytest.param(row, place, id=f"{row.name}-{place}")
    for row in CAUSES
    for place, _ in enumerate(row.evidence)
]
PLATE: Document = {
    "process": "GTAW",
    "weld": "fillet",
    "base_metals": [{"alloy": "6061", "thickness_mm": 3.2}],
}
GMAW_PLATE: Document = {"process": "GMAW", "base_metals": [{"thickness_mm": 6}]}
# What follows from other members cannot be logged: coupons from which it follows.
FOLLOWS: dict[str, Document] = {
    "fast": PLATE | {"travel_speed_mm_s": 7.5},
    "slow": PLATE | {"travel_speed_mm_s": 1.2},
}
# Numbers on either side of what is usual, none of them the slip of a unit.
ON_A_SIDE: dict[tuple[str, str], Document] = {
    ("entry-current", "low"): {"process": "GMAW", "current_a": 50.0},
    ("entry-current", "high"): {"process": "GMAW", "current_a": 400.0},
    ("entry-current-for-thickness", "low"): PLATE | {"current_a": 60.0},
    ("entry-current-for-thickness", "high"): PLATE | {"current_a": 230.0},
    ("entry-gmaw-current-for-thickness", "low"): GMAW_PLATE | {"current_a": 100.0},
    ("entry-gmaw-current-for-thickness", "high"): GMAW_PLATE
    | {"current_a": 315.0, "base_metals": [{"thickness_mm": 3}]},
    ("entry-travel-speed", "low"): {"process": "GTAW", "travel_speed_mm_s": 0.9},
    ("entry-travel-speed", "high"): {"process": "GTAW", "travel_speed_mm_s": 49.0},
    ("entry-voltage", "low"): {"process": "GMAW", "voltage_v": 13.0},
    ("entry-voltage", "high"): {"process": "GMAW", "voltage_v": 33.0},
}


def log_of(document: Document) -> Log:
    """Return what the log of a coupon tells, with the findings on it."""
    facts = read(document)
    said = review(facts)
    return Log(Case(facts, said.figures, DEFAULT), said.findings)


def with_rule(row: CauseRow, piece: FiredRule) -> list[Document]:
    """Return coupons on which a rule speaks that the evidence names."""
    if piece.side:
        return [ON_A_SIDE[piece.rule, piece.side]]
    name = piece.rule.removesuffix("*")
    rules = [rule for rule in CASES if rule == name or (piece.rule[-1] == "*" and name in rule)]
    assert rules, f"{row.name}: no rule is called {piece.rule}"
    return [CASES[rule][0] for rule in rules]


def put(document: Document, member: str, value: object) -> None:
    """State a member of a coupon, with its dots."""
    first, _, rest = member.partition(".")
    if rest:
        document.setdefault(first, {})[rest] = value
    else:
        document[first] = value


def with_test(document: Document, test: Comparison) -> None:
    """Let a coupon state what one comparison asks."""
    base = 2.0
    if test.bound_member:
        put(document, test.bound_member, base)
    if test.bound is not None:
        edge = test.bound * (base if test.bound_member else 1)
        beyond = {"value < bound": -0.5, "value > bound": 0.5, "value >= bound": 0.0}
        put(document, test.member, edge + beyond[test.asks])
    elif test.member == "filler":
        document["filler"] = None
    elif test.choices and "not in" not in test.asks:
        put(document, test.member, min(test.choices, key=str))


def coupons_for(row: CauseRow, place: int) -> list[Document]:
    """Return coupons on which one piece of evidence ought to be found."""
    piece = row.evidence[place]
    if isinstance(piece, FiredRule):
        return with_rule(row, piece)
    found = []
    for case in piece.when.cases:
        for process in (row.process,) if row.process else ("GTAW", "GMAW"):
            document: Document = {"process": process}
            for test in case:
                if test.member == "travel_speed":
                    document |= FOLLOWS[str(min(test.choices, key=str))]
                else:
                    with_test(document, test)
            found.append(document)
    return found


@pytest.mark.parametrize(("row", "place"), PIECES)
def test_each_piece_of_evidence_is_found_in_some_log(row: CauseRow, place: int) -> None:
    logs = [log_of(each) for each in coupons_for(row, place)]
    assert any(row.evidence[place].fields(log) is not None for log in logs)
