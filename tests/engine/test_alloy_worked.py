"""Worked examples W01 to W30 of the notes: which rules a weld metal draws.

What each weld is made of, and its line of the crack verdict, stands in ``test_dilution``. All are
worked out (calc) from nominal compositions; the base share is the one of the example, not that of
a joint. ``R`` names the rule of the notes.
"""

import pytest

from tests.engine.cases_alloy import fillet
from weldlog.engine.alloys import ALLOYS
from weldlog.engine.dilution import BaseShare
from weldlog.engine.facts import Service, read
from weldlog.engine.filler_joint import judged
from weldlog.engine.filler_metals import FILLERS
from weldlog.engine.findings import Finding
from weldlog.engine.review import review
from weldlog.engine.weld_joint import WeldJoint

# id, pair, filler, base share, what is said of it
FILLED: list[tuple[str, str, str, float, dict[str, str]]] = [
    ("W02", "6061 6061", "4043", 0.40, {}),
    ("W03", "6061 6061", "4043", 0.60, {}),
    ("W04", "6061 6061", "4043", 0.80, {"filler-crack-range": "warn"}),
    ("W05", "6061 6061", "4047", 0.80, {}),
    ("W06", "6061 6061", "5356", 0.60, {"filler-crack-range-near": "advise"}),
    ("W08", "6063 6063", "4043", 0.80, {"filler-crack-range": "warn"}),
    # R1, from 2.0 to 2.5 % magnesium.
    ("W09", "5052 5052", "4043", 0.60, {"filler-silicon-near-magnesium-limit": "warn"}),
    ("W10", "5052 5052", "5356", 0.60, {}),
    ("W12", "5083 5083", "5356", 0.60, {}),
    # R1: the crack line alone would pass it.
    ("W13", "5083 5083", "4043", 0.40, {"filler-silicon-on-magnesium": "stop"}),
    ("W14", "1100 1100", "1100", 0.60, {}),
    ("W15", "1100 1100", "4043", 0.40, {}),
    ("W16", "1100 1100", "4043", 0.80, {"filler-crack-range": "warn"}),
    # R12.
    ("W17", "1100 1100", "5356", 0.60, {"filler-magnesium-on-pure": "warn"}),
    ("W18", "1100 5052", "5356", 0.40, {}),
    # R11, and R5, which adds nothing to that stop and is left unsaid.
    ("W19", "3004 3004", "1100", 0.60, {"filler-pure-on-alloyed": "stop"}),
    ("W20", "6061 5083", "5356", 0.60, {}),
    ("W21", "6061 5083", "4043", 0.40, {"filler-silicon-on-magnesium": "stop"}),
    ("W22", "2219 2219", "2319", 0.60, {}),
    ("W23", "2219 2219", "4043", 0.60, {"filler-crack-range-near": "advise"}),
    ("W24", "7005 7005", "5356", 0.60, {}),
    ("W26", "5454 5454", "5554", 0.60, {"filler-crack-range-near": "advise"}),
    ("W27", "A356.0 A356.0", "4043", 0.60, {}),
    ("W28", "6061 A356.0", "4043", 0.40, {}),
]


def said(pair: str, filler: str, share: float, service: Service) -> dict[str, str]:
    side_a, side_b = (ALLOYS[each] for each in pair.split())
    joint = WeldJoint(
        sides=(side_a, side_b),
        share=BaseShare(share, share, share, "practice"),
        weld=None,
        service=service,
        thickness_mm=None,
    )
    found = judged(joint.filled_with(FILLERS[filler]))
    return {each.rule.id: each.severity for each in found if isinstance(each, Finding)}


@pytest.mark.parametrize("case", FILLED, ids=lambda case: f"alloy_{case[0]}")
def test_worked_weld_metal_draws_its_rules(
    case: tuple[str, str, str, float, dict[str, str]],
) -> None:
    _, pair, filler, share, expected = case
    assert said(pair, filler, share, Service()) == expected


# R3: both examples say so of warm service.
@pytest.mark.parametrize("case", ["alloy_W12 5083 5083", "alloy_W20 6061 5083"])
def test_warm_service_stops_al_mg5_filler(case: str) -> None:
    _, _, pair = case.partition(" ")
    assert said(pair, "5356", 0.6, Service(above_65_c=True)) == {"filler-warm-service": "stop"}


@pytest.mark.parametrize(
    ("case", "alloy", "filler", "expected"),
    [
        ("W01", "6061", None, {"filler-missing-6xxx": "stop"}),  # R4
        ("W07", "6063", None, {"filler-missing-6xxx": "stop"}),  # R4
        ("W11", "5083", None, {}),
        ("W25", "7005", None, {"filler-missing-crack-range-near": "advise"}),
        ("W29", "2014", "4043", {"alloy-not-for-arc-welding": "stop"}),  # R6
        (
            # R6, and 2.5 % magnesium under a filler without silicon.
            "W30",
            "7075",
            "5356",
            {"alloy-not-for-arc-welding": "stop"},
        ),
    ],
    ids=lambda value: f"alloy_{value}" if str(value).startswith("W") else "",
)
def test_worked_coupon_draws_its_rules(
    case: str, alloy: str, filler: str | None, expected: dict[str, str]
) -> None:
    found = review(read(fillet(alloy, filler=filler))).findings
    about_metal = {
        each.rule.id: each.severity
        for each in found
        if each.rule.id.startswith(("alloy-", "filler-"))
    }
    assert about_metal == expected, case
