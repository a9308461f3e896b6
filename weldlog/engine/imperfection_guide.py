"""The imperfection guide: how to see each kind, what causes it, what is allowed."""

from dataclasses import dataclass
from typing import Final

from weldlog.engine.causes import CauseRow, usual_causes
from weldlog.engine.imperfection_list import IMPERFECTIONS, ImperfectionKind
from weldlog.engine.limit_sets import CLASSROOM, limits_of
from weldlog.engine.limits import Limit
from weldlog.engine.sources import source
from weldlog.engine.tables import rows


@dataclass(frozen=True, slots=True)
class GuideEntry:
    """One kind of imperfection in the guide.

    Parameters
    ----------
    kind : ImperfectionKind
        Its key, numbers, name, plain words, and how to see it.
    causes : tuple of CauseRow
        The causes to look at first: ``check`` says what to look at, ``coaching`` what to do.
    limits : tuple of Limit
        What the classroom set allows; ``words`` says it, ``standing`` how well it is founded.
    further_limits : tuple of Limit
        The same in the sets that are silent until a school confirms their rows.
    """

    kind: ImperfectionKind
    causes: tuple[CauseRow, ...]
    limits: tuple[Limit, ...]
    further_limits: tuple[Limit, ...]


def _entry(kind: ImperfectionKind) -> GuideEntry:
    limits = limits_of(kind)
    return GuideEntry(
        kind=kind,
        causes=usual_causes(kind),
        limits=tuple(each for each in limits if each.set == CLASSROOM),
        further_limits=tuple(each for each in limits if each.set != CLASSROOM),
    )


GUIDE: Final = tuple(_entry(kind) for kind in IMPERFECTIONS)


@dataclass(frozen=True, slots=True)
class ViewingCondition:
    """One condition under which a weld is looked at; ``least`` and ``most`` in ``unit``."""

    key: str
    says: str
    least: float | None
    most: float | None
    unit: str
    source: str


def _condition(row: dict[str, str]) -> ViewingCondition:
    least, most = (float(row[each]) if row[each] else None for each in ("least", "most"))
    key = source(row["source"]).key
    return ViewingCondition(row["key"], row["says"], least, most, row["unit"], key)


VIEWING: Final = tuple(_condition(row) for row in rows("viewing_conditions.tsv"))
