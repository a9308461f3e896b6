"""What an estimated weld metal says, and how loudly, by what the estimate rests on."""

from collections.abc import Iterator
from itertools import combinations_with_replacement
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.cases_alloy import fillet
from tests.engine.cases_filler import square_butt
from weldlog.engine.alloys import ALLOYS
from weldlog.engine.dilution import BaseShare
from weldlog.engine.facts import Service, read
from weldlog.engine.filler_choice import choose
from weldlog.engine.filler_joint import judged
from weldlog.engine.filler_metals import FILLERS
from weldlog.engine.filler_pairs import pair_of
from weldlog.engine.findings import Finding
from weldlog.engine.review import review
from weldlog.engine.weld_joint import WeldJoint

LOW = ("3004", "5005", "5050", "5052")
JOINTS: tuple[tuple[str, str], ...] = (
    ("tee", "fillet"),
    ("lap", "fillet"),
    ("butt", "v_groove"),
    ("butt", "square_groove"),
)


def said(document: dict[str, Any]) -> dict[str, str]:
    found = review(read(document)).findings
    return {
        each.rule.id: each.severity
        for each in found
        if each.rule.id.startswith(("filler-", "alloy-"))
    }


def at_share(alloy: str, filler: str, share: float) -> dict[str, str]:
    base = ALLOYS[alloy]
    joint = WeldJoint(
        sides=(base, base),
        share=BaseShare(share, share, share, "practice"),
        weld=None,
        service=Service(),
        thickness_mm=None,
    )
    found = judged(joint.filled_with(FILLERS[filler]))
    return {each.rule.id: each.severity for each in found if isinstance(each, Finding)}


# Armao on 5052: keep the weld past 3 % magnesium (read). The stop below 2.60 % and 2.0 % silicon
# and the warning from 2.60 to 2.99 % are set by us; mixture worked out.
@given(
    st.sampled_from(LOW),
    st.sampled_from(["5356", "5183", "5556", "5087", "5554", "5654", "4043", "4047", "4643"]),
    st.integers(1, 100),
)
def test_alloy_r5_stop_and_warning_follow_the_weld_metal(
    alloy: str, filler: str, percent: int
) -> None:
    base, metal = ALLOYS[alloy].nominal, FILLERS[filler].nominal
    magnesium = round((percent * base.mg + (100 - percent) * metal.mg) / 100, 2)
    silicon = round((percent * base.si + (100 - percent) * metal.si) / 100, 2)
    severity = at_share(alloy, filler, percent / 100).get("filler-weld-magnesium-low")
    if silicon >= 2.0 or magnesium >= 3.0:
        assert severity is None
    elif magnesium >= 2.6 or (alloy, filler) == ("5052", "5554"):
        assert severity == "warn"
    else:
        assert severity == "stop"


@pytest.mark.parametrize(("weld", "process"), [(w, p) for _, w in JOINTS for p in ("GTAW", "GMAW")])
@pytest.mark.parametrize("other", ["5052", "6061", "3004", "5454", "1100"])
def test_alloy_r5_5554_on_5052_is_never_more_than_a_warning(
    weld: str, process: str, other: str
) -> None:
    coupon = fillet("5052", other, filler="5554", weld=weld, process=process)
    assert said(coupon).get("filler-weld-magnesium-low", "warn") == "warn"


# --- The 0.10 that GTAW adds to the base share is common practice, no source; the shares of the
# joints are read (AlcoTec Technical Guide). No warning rests on the addition alone.


# A weld that the addition brings only to the edge draws nothing: there is nothing to do better.
def test_5052_square_butt_with_5356_draws_no_warning() -> None:
    # 0.9 x 2.5 + 0.1 x 5.0 = 2.75 % Mg, and 0.8 x 2.5 + 0.2 x 5.0 = 3.00 % Mg (worked).
    assert said(square_butt("5052", filler="5356")) == {}
    gmaw = said(square_butt("5052", filler="5356", process="GMAW"))
    assert gmaw == {"filler-crack-range-near": "advise"}


def test_the_figures_keep_the_addition() -> None:
    weld = review(read(square_butt("5052", filler="5356"))).figures.weld_metal
    assert weld
    assert (weld.dilution, weld.mg, weld.hot_crack_range) == (0.9, 2.75, "near")


def test_the_advice_says_that_the_addition_is_common_practice() -> None:
    # 0.5 x 0 + 0.5 x 5.0 = 2.5 % Mg cracks, and 0.4 x 0 + 0.6 x 5.0 = 3.0 % is clear (worked).
    v_groove_in_1100 = fillet("1100", joint="butt", weld="v_groove")
    (found,) = [
        each
        for each in review(read(v_groove_in_1100)).findings
        if each.rule.id == "filler-gtaw-share"
    ]
    assert (found.measured, found.limit) == (0.5, 0.4)
    assert "common practice" in found.says
    assert "at 40\u00a0% the weld is clear" in found.says
    assert found.rule.source == "practice"


def test_a_stop_does_not_rest_on_the_addition() -> None:
    # 5052 + 5183: 2.73 % Mg at 0.90 and 2.96 % at 0.80 (worked): a warning both times. 5454 + 3004
    # with 5183: 2.15 % at 0.90 and 2.44 % at 0.80: a stop both times.
    assert said(square_butt("5052", filler="5183"))["filler-weld-magnesium-low"] == "warn"
    lean = said(square_butt("3004", "5454", filler="5183"))
    assert lean["filler-weld-magnesium-low"] == "stop"


def _coupons() -> Iterator[tuple[str, str, str, str]]:
    for alloy in ALLOYS:
        for filler in FILLERS:
            for joint, weld in (*JOINTS, ("edge", "square_groove")):
                yield alloy, filler, joint, weld


def test_gtaw_is_never_judged_harder_than_the_share_as_read_bears() -> None:
    """The loudest word on the mixture by GTAW is that by GMAW, or advice where that is silent."""
    mixture = ("filler-weld-magnesium-low", "filler-magnesium-on-pure", "filler-crack-range")
    loud = ["advise", "warn", "stop"]
    for alloy, filler, joint, weld in _coupons():
        if FILLERS[filler].rod_only:
            continue
        by = {
            process: said(fillet(alloy, filler=filler, joint=joint, weld=weld, process=process))
            for process in ("GTAW", "GMAW")
        }
        gtaw, gmaw = (
            max((loud.index(by[each].get(rule, "advise")) for rule in mixture), default=0)
            for each in ("GTAW", "GMAW")
        )
        assert gtaw <= gmaw, (alloy, filler, weld, by)


def test_inside_at_the_usual_share_stays_a_warning() -> None:
    for process in ("GTAW", "GMAW"):
        coupon = square_butt("6061", filler="4043", process=process)
        assert said(coupon)["filler-crack-range"] == "warn"


# Worked example W05: 4047 rescues a joint that melts much base metal.
def test_alloy_w05_4047_is_named_and_draws_no_warning() -> None:
    found = review(read(square_butt("6061", filler="4043"))).findings
    crack = next(each for each in found if each.rule.id == "filler-crack-range")
    assert "4047 suits this joint." in crack.says
    assert "warn" not in said(square_butt("6061", filler="4047")).values()


# --- false alarms: the first choice of the charts on a usual joint


def _first_choices() -> Iterator[tuple[str, str]]:
    for alloy in ALLOYS:
        offers = choose(alloy).fillers
        yield from ((alloy, each.designation) for each in offers if each.verdict == "first_choice")


@pytest.mark.parametrize("process", ["GTAW", "GMAW"])
def test_a_first_choice_on_a_fillet_or_v_groove_draws_no_stop_and_no_warning(process: str) -> None:
    for alloy, filler in _first_choices():
        for joint, weld in JOINTS[:3]:
            coupon = fillet(alloy, filler=filler, process=process, joint=joint, weld=weld)
            assert set(said(coupon).values()) <= {"advise"}, (alloy, filler, weld, said(coupon))


@pytest.mark.parametrize("process", ["GTAW", "GMAW"])
def test_a_first_choice_on_a_square_butt_is_stopped_for_want_of_magnesium_alone(
    process: str,
) -> None:
    stopped = set()
    for alloy, filler in _first_choices():
        found = said(square_butt(alloy, filler=filler, process=process))
        stops = {rule for rule, severity in found.items() if severity == "stop"}
        assert stops <= {"filler-weld-magnesium-low"}, (alloy, filler)
        stopped |= {alloy} if stops else set()
    assert stopped == {"3004", "5005", "5050"}


@pytest.mark.parametrize("process", ["GTAW", "GMAW"])
def test_no_first_choice_of_the_charts_is_stopped_on_a_fillet_or_v_groove(process: str) -> None:
    for pair in combinations_with_replacement(ALLOYS.values(), 2):
        chart = pair_of(*pair)
        names = [each.designation for each in pair]
        for joint, weld in JOINTS[:3] if chart.first_choice else ():
            coupon = fillet(
                *names, filler=chart.first_choice, process=process, joint=joint, weld=weld
            )
            assert "stop" not in said(coupon).values(), (names, weld, said(coupon))


def test_the_order_of_the_sides_does_not_matter() -> None:
    names = [*ALLOYS][::3]
    for side_a in names:
        for side_b in names:
            one = said(fillet(side_a, side_b, filler="5356"))
            assert one == said(fillet(side_b, side_a, filler="5356"))
