"""How far two graders agree, beyond what chance would give.

Percent agreement alone flatters where one level is common, and kappa alone looks bad where one
level is rare; both are shown, with the number of coupons and an interval.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

from django.utils.translation import gettext as _

LEVELS: Final = (1, 2, 3, 4)
FEW: Final = 30
"""Below this many coupons a kappa says little (prep-S54; the number itself is common practice)."""
RARE_SHARE: Final = 0.05
NORMAL_95: Final = 1.959963984540054

type Pair = tuple[int, int]
type Table = Sequence[Sequence[int]]
type Weight = Callable[[float], float]
"""From the distance of two levels, as a share of the largest there is, to their agreement."""


def no_weight(distance: float) -> float:
    """Count only equal levels as agreement."""
    return 0.0 if distance else 1.0


def linear_weight(distance: float) -> float:
    """Count levels apart by their distance."""
    return 1.0 - distance


def quadratic_weight(distance: float) -> float:
    """Count levels apart by the square of their distance."""
    return 1.0 - distance * distance


@dataclass(frozen=True, slots=True)
class Kappa:
    """A kappa with its asymptotic 95 % interval, cut at -1 and 1."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """How far two graders of the same coupons agree.

    Parameters
    ----------
    coupons : int
        How many were graded by both.
    percent : float
        Share of equal levels [percent].
    kappa, linear, quadratic : Kappa or None
        Cohen's kappa, and the weighted ones. None where it is not defined: both graders gave one
        and the same level throughout.
    rare : bool
        Whether nearly all coupons got one level: kappa is then low however well they agree.
    """

    coupons: int
    percent: float
    kappa: Kappa | None
    linear: Kappa | None
    quadratic: Kappa | None
    rare: bool

    def warnings(self) -> list[str]:
        """Return in plain words what keeps these numbers from saying much."""
        said = []
        if self.coupons < FEW:
            said.append(
                _("Only %(coupons)d coupons: below %(few)d these numbers say little.")
                % {"coupons": self.coupons, "few": FEW}
            )
        if self.rare:
            said.append(
                _(
                    "Nearly all coupons got the same level. Kappa comes out low then, even where "
                    "the graders agree: look at the percentage."
                )
            )
        return said


def tabulate(pairs: Iterable[Pair], levels: Sequence[int] = LEVELS) -> list[list[int]]:
    """Count pairs of levels: a row for each level of the first grader, a column of the second.

    >>> tabulate([(3, 3), (3, 4), (1, 1)])
    [[1, 0, 0, 0], [0, 0, 0, 0], [0, 0, 1, 1], [0, 0, 0, 0]]
    """
    place = {level: number for number, level in enumerate(levels)}
    table = [[0] * len(levels) for _level in levels]
    for first, second in pairs:
        table[place[first]][place[second]] += 1
    return table


def agreement(table: Table) -> Agreement | None:
    """Return how far two graders agree; None where they share no coupon.

    Parameters
    ----------
    table : sequence of sequence of int
        Coupons by the level that the first gave (row) and the second gave (column).

    >>> found = agreement([[6, 2, 0, 0], [1, 9, 3, 0], [0, 2, 14, 2], [0, 0, 3, 8]])
    >>> found.percent, round(found.kappa.value, 3), round(found.quadratic.value, 3)
    (74.0, 0.64, 0.863)
    """
    coupons = sum(map(sum, table))
    if not coupons:
        return None
    equal = sum(table[level][level] for level in range(len(table)))
    return Agreement(
        coupons=coupons,
        percent=100 * equal / coupons,
        kappa=weighted_kappa(table, no_weight),
        linear=weighted_kappa(table, linear_weight),
        quadratic=weighted_kappa(table, quadratic_weight),
        rare=_is_rare(table, coupons),
    )


def weighted_kappa(table: Table, weight: Weight) -> Kappa | None:
    """Return kappa with its asymptotic 95 % interval.

    kappa = (po - pe) / (1 - pe) with weighted agreement observed and expected by chance; the
    variance is the large-sample one of Fleiss, Cohen and Everitt (1969), from memory, held against
    a statistics library in the tests.

    Parameters
    ----------
    table : sequence of sequence of int
        A square table of counts; not all zero.
    weight : callable
        What two levels count as agreement.

    Returns
    -------
    Kappa or None
        None where chance alone would agree fully.
    """
    number, total = len(table), sum(map(sum, table))
    cells = [*product(range(number), range(number))]
    share = {(i, j): table[i][j] / total for i, j in cells}
    weights = {(i, j): weight(abs(i - j) / (number - 1)) for i, j in cells}
    rows = [sum(share[i, j] for j in range(number)) for i in range(number)]
    columns = [sum(share[i, j] for i in range(number)) for j in range(number)]
    observed = sum(weights[cell] * share[cell] for cell in cells)
    expected = sum(weights[i, j] * rows[i] * columns[j] for i, j in cells)
    if math.isclose(expected, 1.0):
        return None
    value = (observed - expected) / (1 - expected)
    of_row = [sum(columns[j] * weights[i, j] for j in range(number)) for i in range(number)]
    of_column = [sum(rows[i] * weights[i, j] for i in range(number)) for j in range(number)]
    spread = sum(
        share[i, j] * (weights[i, j] - (of_row[i] + of_column[j]) * (1 - value)) ** 2
        for i, j in cells
    )
    variance = (spread - (value - expected * (1 - value)) ** 2) / (total * (1 - expected) ** 2)
    half = NORMAL_95 * math.sqrt(max(0.0, variance))
    return Kappa(value, max(-1.0, value - half), min(1.0, value + half))


def _is_rare(table: Table, coupons: int) -> bool:
    """Return whether one level takes all but a few coupons of both graders."""
    number = range(len(table))
    largest = max(
        (sum(table[level]) + sum(table[other][level] for other in number)) / (2 * coupons)
        for level in number
    )
    return largest >= 1 - RARE_SHARE
