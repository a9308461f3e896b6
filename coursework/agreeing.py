"""Who agrees with whom in a section: the second grader with the first, the student with both."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import F
from django.utils.translation import gettext as _

from coursework.agreement import Agreement, Pair, agreement, tabulate
from coursework.models import Coupon, Score, SecondScore, Section
from coursework.second_looks import of_section


@dataclass(frozen=True, slots=True)
class Compared:
    """What was compared, and how far it agrees; None where there is nothing to compare."""

    name: str
    found: Agreement | None


def between_graders(section: Section) -> list[Compared]:
    """Return how far second gradings agree with the first: overall, then for each criterion.

    A criterion is one by its key, whatever version of the rubric; one that either grader left out
    is in no pair.
    """
    given = of_section(section).filter(graded_at__isnull=False).exclude(grader=F("grade__grader"))
    both = given.order_by().values_list("grade__level", "level")
    levels = [(first_level, level) for first_level, level in both if level is not None]
    first = Score.objects.filter(grade__second_looks__in=given)
    second = SecondScore.objects.filter(second_look__in=given)
    scored = {
        (coupon, key): level
        for coupon, key, level in first.order_by().values_list(
            "grade__coupon", "criterion__key", "level"
        )
    }
    titles: dict[str, str] = {}
    pairs: dict[str, list[Pair]] = defaultdict(list)
    for coupon, key, title, level in second.order_by("criterion__place", "pk").values_list(
        "second_look__coupon", "criterion__key", "criterion__title", "level"
    ):
        titles.setdefault(key, title)
        if (coupon, key) in scored:
            pairs[key].append((scored[coupon, key], level))
    overall = Compared(_("Level of the coupon"), agreement(tabulate(levels)))
    return [overall, *(_compared(titles[key], pairs[key]) for key in titles)]


def with_students(section: Section) -> Compared:
    """Return how far the level that students predicted agrees with the grade they know of."""
    known = Coupon.objects.filter(
        section=section, predicted_level__isnull=False, grade__isnull=False
    ).exclude(state=Coupon.State.WITHDRAWN)
    pairs = known.order_by().values_list("predicted_level", "grade__level")
    return _compared(
        _("Level of the coupon"), [(own, given) for own, given in pairs if own is not None]
    )


def graders(section: Section) -> int:
    """Return how many pairs of instructors, in either order, have graded the same coupons."""
    given = of_section(section).filter(graded_at__isnull=False).order_by()
    pairs = given.values_list("grade__grader", "grader").distinct()
    return len({frozenset(pair) for pair in pairs})


def _compared(name: str, pairs: list[Pair]) -> Compared:
    return Compared(name, agreement(tabulate(pairs)))
