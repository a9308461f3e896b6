"""What holds for every limit of every set."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.limits import ALL, plate, verdicts
from weldlog.engine.acceptance import Verdict
from weldlog.engine.imperfection_list import IMPERFECTIONS, by_key, find, is_crack
from weldlog.engine.limit_sets import SETS, limits_of
from weldlog.engine.limits import Limit
from weldlog.engine.measured import hundredths

JUDGED = [
    limit
    for each in SETS.values()
    for limit in each.limits
    if limit.judged_by in ("size", "undersize", "root_depth") and limit.confidence != "L"
]
# A coupon on which every size that a limit can go with is known.
KNOWN: dict[str, Any] = {
    "base_metals": plate(6),
    "weld": "fillet",
    "fillet": {"nominal_leg_mm": 6, "leg_1_mm": 6, "leg_2_mm": 6, "throat_mm": 4.3},
    "groove": {"excess_weld_metal_mm": 1.5},
    "weld_length_mm": 150,
}


def named(limit: Limit, size_mm: float) -> Verdict:
    """Return the verdict of one limit on one size."""
    kind = by_key(limit.imperfections[0])
    number = kind.numbers[0] if kind else limit.imperfections[0]
    seen = {"number": number, "size_mm": size_mm, "length_mm": 1}
    thickness = plate(2 if limit.to_mm else 6)
    logged = KNOWN | {"base_metals": thickness, "acceptance_set": limit.set}
    return verdicts(ALL, imperfections=[seen], **logged)[number]


@pytest.mark.parametrize("limit", JUDGED, ids=lambda limit: limit.id)
def test_equality_accepts_in_every_row(limit: Limit) -> None:
    most = named(limit, 0.01).limit_mm
    assert most is not None
    sure = most if limit.unsure_above_mm is None else limit.unsure_above_mm
    assert named(limit, sure).verdict == "accept"
    assert named(limit, round(most + 0.01, 2)).verdict == "reject"


@settings(deadline=None)
@given(st.sampled_from(JUDGED), st.floats(0, 20), st.floats(0, 20))
def test_a_larger_size_is_never_accepted_where_a_smaller_is_rejected(
    limit: Limit, one: float, other: float
) -> None:
    order = ["accept", "look_up", "reject"]
    small, large = (order.index(named(limit, each).verdict) for each in sorted((one, other)))
    assert small <= large


@given(st.decimals(0, 1000, places=2))
def test_hundredths_are_those_of_the_number_as_written(size: Any) -> None:
    assert hundredths(float(size)) == int(size * 100)


@given(st.floats(allow_nan=False))
def test_any_size_has_hundredths(size: float) -> None:
    assert isinstance(hundredths(size), int)


def test_every_limit_names_a_number_or_key_of_the_list() -> None:
    for each in SETS.values():
        for limit in each.limits:
            for name in limit.imperfections:
                assert by_key(name) or find(name), limit.id
            assert limit.words
            if is_crack(limit.imperfections[0]):
                assert limit.judged_by == "never"


def test_what_is_remembered_says_so() -> None:
    for limit in SETS["iso10042_c"].limits:
        assert limit.must_be_confirmed
        assert limit.confidence in ("H", "M", "L")
        assert limit.standing == ("read" if limit.source == "prep-S21" else "memory")
    assert not any(limit.must_be_confirmed for limit in SETS["classroom"].limits)


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("undercut", {"up to 0.1 × thickness"}),
        ("throat_small", {"up to 0.79 mm (0.031 in) under the leg wanted"}),
        ("burn_through", {"none"}),
        ("spatter", set()),
    ],
)
def test_the_limits_of_a_kind_read_well(key: str, words: set[str]) -> None:
    kind = by_key(key)
    assert kind
    said = {limit.words for limit in limits_of(kind) if limit.set == "classroom"}
    assert {each.replace("\u00a0", " ") for each in said} == words


def test_every_kind_in_the_list_has_its_limits_at_hand() -> None:
    assert all(isinstance(limits_of(kind), tuple) for kind in IMPERFECTIONS)
