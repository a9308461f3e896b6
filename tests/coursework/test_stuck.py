"""Who is stuck, rule by rule; the thresholds are common practice, no source."""

import pytest

from coursework.models import Coupon
from coursework.stuck import RULES, Case, Try, reasons

WAITS, HELD = Coupon.State.HANDED_IN, Coupon.State.HELD
GOOD, BACK = Coupon.State.ACCEPTED, Coupon.State.RETURNED
PORES, UNDERCUT = "2017", "5011"


def tries(*states: str, seen: tuple[frozenset[str], ...] = (), unsafe: int = -1) -> list[Try]:
    """Return coupons, the newest first, the oldest numbered 1."""
    none: frozenset[str] = frozenset()
    return [
        Try(
            len(states) - place,
            state,
            seen[place] if place < len(seen) else none,
            unsafe=place == unsafe,
        )
        for place, state in enumerate(states)
    ]


@pytest.mark.parametrize(
    ("case", "said"),
    [
        (Case(tries(WAITS, GOOD, unsafe=0)), ["A safety stop is open on coupon 2."]),
        (Case(tries(HELD, GOOD, unsafe=0)), []),
        (Case(tries(GOOD, BACK, unsafe=1)), []),
        (Case(tries(BACK, BACK, BACK, GOOD)), ["3 coupons returned in a row."]),
        (Case(tries(BACK, BACK, GOOD)), []),
        (Case(tries(WAITS, BACK, BACK, BACK, GOOD)), ["3 coupons returned in a row."]),
        (Case(tries(GOOD, BACK, BACK, BACK)), []),
        (Case(silent=True, due_week=4), [
            "No coupon this week or in the 2 before; this was due in week 4."
        ]),
        (Case(silent=True), []),
        (Case(due_week=4), []),
        (Case(), []),
    ],
)  # fmt: skip
def test_a_rule_speaks_with_its_reason_or_is_quiet(case: Case, said: list[str]) -> None:
    assert reasons(case) == said


def test_one_imperfection_on_each_of_the_last_three() -> None:
    both, pores = frozenset({PORES, UNDERCUT}), frozenset({PORES})
    case = Case(tries(WAITS, GOOD, GOOD, seen=(both, pores, both)))
    assert reasons(case) == ["Surface pore on each of the last 3 coupons."]
    assert reasons(Case(tries(WAITS, GOOD, seen=(both, pores)))) == []
    assert reasons(Case(tries(WAITS, GOOD, GOOD, seen=(both, pores, frozenset({UNDERCUT}))))) == []


def test_many_coupons_and_none_good() -> None:
    mixed = (BACK, WAITS, BACK, WAITS, BACK, BACK, BACK, BACK)
    assert "6 coupons graded, and none of them good." in reasons(Case(tries(*mixed)))
    assert "5 coupons graded" not in " ".join(reasons(Case(tries(*mixed[:-1]))))
    assert not any("none of them" in said for said in reasons(Case(tries(*mixed, GOOD))))


def test_reasons_come_in_the_order_of_the_rules_and_each_rule_says_its_threshold() -> None:
    said = reasons(Case(tries(WAITS, BACK, BACK, BACK, unsafe=0)))
    assert said == ["A safety stop is open on coupon 4.", "3 coupons returned in a row."]
    for rule in RULES[1:]:
        assert str(rule.least) in str(rule)
        assert "%" not in str(rule)
