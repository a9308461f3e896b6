"""The classroom list of imperfections, by their ISO 6520-1 numbers."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

from weldlog.engine.sources import source
from weldlog.engine.tables import rows

Group = Literal["1", "2", "3", "4", "5", "6", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class ImperfectionKind:
    """One row of the classroom list.

    Parameters
    ----------
    key : str
        Its name in the tables.
    numbers : tuple of str
        ISO 6520-1 numbers; ``L1`` for soot, which has none.
    parent : str
        Key of the kind whose causes it shares, or empty.
    group : str
        ISO 6520-1 group: 1 cracks, 2 cavities, 3 solid inclusions, 4 fusion and penetration,
        5 shape, 6 other; empty where it has no number.
    name, plain, see : str
        Its name, what it is in plain words, and how to see it.
    source : str
        Where its number comes from.
    """

    key: str
    numbers: tuple[str, ...]
    parent: str
    group: Group
    name: str
    plain: str
    see: str
    source: str


def _kind(row: dict[str, str]) -> ImperfectionKind:
    source(row["source"])
    return ImperfectionKind(
        key=row["key"],
        numbers=tuple(row["numbers"].split()),
        parent=row["parent"],
        group=row["group"],  # type: ignore[arg-type]
        name=row["name"],
        plain=row["plain"],
        see=row["see"],
        source=row["source"],
    )


IMPERFECTIONS: Final = tuple(_kind(row) for row in rows("imperfections.tsv"))
_BY_KEY: Final = {kind.key: kind for kind in IMPERFECTIONS}
_BY_NUMBER: Final = {number: kind for kind in IMPERFECTIONS for number in kind.numbers}


@lru_cache(maxsize=1024)
def find(number: str) -> ImperfectionKind | None:
    """Return the kind of a number, or None where it is not in the list.

    A child that is not listed itself is taken for its parent: the numbers of ISO 6520-1 grow by a
    digit, and the cracks 102 to 106 belong to 100.

    >>> find("104").key, find("1013").key, find("105").key, find("9") is None
    ('crater_crack', 'crack', 'crack', True)
    """
    number = number.strip().upper()
    parents = [number, *(number[:end] for end in range(len(number) - 1, 2, -1))]
    if number[:2] == "10":
        parents.append("100")
    return next((_BY_NUMBER[each] for each in parents if each in _BY_NUMBER), None)


def lineage(kind: ImperfectionKind) -> tuple[str, ...]:
    """Return the key of a kind and those of its parents.

    >>> lineage(find("516"))
    ('root_porosity', 'pore_line', 'pore')
    """
    parent = _BY_KEY.get(kind.parent)
    return (kind.key, *lineage(parent)) if parent else (kind.key,)
