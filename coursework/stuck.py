"""Who is stuck, by plain rules that are shown with their reason: no hidden score.

The rules and their thresholds are common practice, no source. They look at exercises whose rules
are not met yet; a withdrawn coupon counts nowhere.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import takewhile
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework import wording
from coursework.models import Coupon
from coursework.progress import UNDECIDED


@dataclass(frozen=True, slots=True)
class Try:
    """One coupon: its number, its state, the imperfections seen, whether it has a safety stop."""

    number: int
    state: str
    seen: frozenset[str] = frozenset()
    unsafe: bool = False

    @property
    def decided(self) -> bool:
        return self.state not in UNDECIDED


@dataclass(frozen=True, slots=True)
class Case:
    """One student in one exercise; ``tries`` are the coupons, the newest first.

    ``due_week`` is given where the exercise is due, ``silent`` where the student has logged
    nothing at all this week and in the two before.
    """

    tries: Sequence[Try] = ()
    due_week: int | None = None
    silent: bool = False


@dataclass(frozen=True, slots=True)
class Rule:
    """``least`` is the threshold, ``rule`` says how it is decided, ``reason`` what is the case.

    ``reason`` takes a case and the threshold, and returns the empty text where the rule is quiet.
    """

    key: str
    least: int
    rule: str | Promise
    reason: Callable[[Case, int], str]

    def says(self, case: Case) -> str:
        """Return why a student is stuck by this rule, or the empty text."""
        return self.reason(case, self.least)

    def __str__(self) -> str:
        return str(self.rule) % {"least": self.least}


def _safety_stop(case: Case, _least: int) -> str:
    waiting = [
        each.number for each in case.tries if each.unsafe and each.state == Coupon.State.HANDED_IN
    ]
    if not waiting:
        return ""
    return _("A safety stop is open on coupon %d.") % waiting[-1]


def _returned(case: Case, least: int) -> str:
    decided = (each for each in case.tries if each.decided)
    returned = takewhile(lambda each: each.state == Coupon.State.RETURNED, decided)
    count = sum(1 for _each in returned)
    return _("%d coupons returned in a row.") % count if count >= least else ""


def _same_imperfection(case: Case, least: int) -> str:
    last = [each.seen for each in case.tries[:least]]
    shared = frozenset.intersection(*last) if len(last) == least else frozenset()
    if not shared:
        return ""
    names = ", ".join(wording.imperfection(number)["name"] for number in sorted(shared))
    return _("%(names)s on each of the last %(least)d coupons.") % {"names": names, "least": least}


def _none_good(case: Case, least: int) -> str:
    decided = [each.state for each in case.tries if each.decided]
    if len(decided) < least or Coupon.State.ACCEPTED in decided:
        return ""
    return _("%d coupons graded, and none of them good.") % len(decided)


def _silent(case: Case, least: int) -> str:
    if not case.silent or case.due_week is None:
        return ""
    said = {"weeks": least, "week": case.due_week}
    return (
        _("No coupon this week or in the %(weeks)d before; this was due in week %(week)d.") % said
    )


SAFETY_STOP: Final = Rule(
    "safety-stop", 1, gettext_lazy("a coupon with a safety stop has no grade yet"), _safety_stop
)
SILENT: Final = Rule(
    "silent",
    2,
    gettext_lazy(
        "nothing was logged this week or in the %(least)d before, while an exercise is due"
    ),
    _silent,
)
RULES: Final = (
    SAFETY_STOP,
    Rule(
        "returned",
        3,
        gettext_lazy("the last %(least)d graded coupons of an exercise were returned"),
        _returned,
    ),
    Rule(
        "same-imperfection",
        3,
        gettext_lazy("the student saw one imperfection on each of the last %(least)d coupons"),
        _same_imperfection,
    ),
    Rule(
        "none-good",
        6,
        gettext_lazy("%(least)d or more coupons of an exercise are graded, and none is good"),
        _none_good,
    ),
    SILENT,
)


def reasons(case: Case) -> list[str]:
    """Return why a student is stuck in an exercise, the gravest first; empty where nothing is."""
    return [said for rule in RULES if (said := rule.says(case))]
