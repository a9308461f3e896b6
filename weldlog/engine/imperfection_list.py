"""The classroom list of imperfections, by their ISO 6520-1 numbers."""

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final, Literal

from weldlog.engine.sources import Standing, source
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
        Where its numbers were read; those in ``remembered`` are from memory.
    remembered : tuple of str
        Numbers that stand in no source that was read (ISO 6520-1:2007, from memory).
    """

    key: str
    numbers: tuple[str, ...]
    parent: str
    group: Group
    name: str
    plain: str
    see: str
    source: str
    remembered: tuple[str, ...]

    def standing_of(self, number: str) -> Standing:
        """Return the standing of one of its numbers: read, or memory."""
        return source("memory-iso-6520-1" if number in self.remembered else self.source).standing


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
        remembered=tuple(row["remembered"].split()),
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
    parents = [number, *_shorter(number)]
    if number[:2] == "10":
        parents.append("100")
    return next((_BY_NUMBER[each] for each in parents if each in _BY_NUMBER), None)


def _shorter(number: str) -> list[str]:
    """Return the numbers that this one grew from, the nearest first."""
    return [number[:end] for end in range(min(len(number), 9) - 1, 2, -1)]


def by_key(key: str) -> ImperfectionKind | None:
    """Return the kind with this key, or None."""
    return _BY_KEY.get(key)


def key_of(number: str) -> str:
    """Return the key of the kind of a number, empty where it is not in the list."""
    kind = find(number)
    return kind.key if kind else ""


def is_crack(number: str) -> bool:
    """Return whether the number is that of a crack of any kind."""
    kind = find(number)
    return kind is not None and kind.group == "1"


@cache
def lineage(kind: ImperfectionKind) -> tuple[str, ...]:
    """Return the key of a kind and those of its parents.

    >>> lineage(find("516"))
    ('root_porosity', 'pore_line', 'pore')
    """
    parent = _BY_KEY.get(kind.parent)
    return (kind.key, *lineage(parent)) if parent else (kind.key,)


@lru_cache(maxsize=1024)
def names_of(number: str) -> tuple[str, ...]:
    """Return what a table may call an imperfection, the narrowest name first.

    These are its number, its key, and the numbers and keys of its parents.

    >>> names_of("5071"), names_of("5013")
    (('5071', '507', 'misalignment'), ('5013', 'shrinkage_groove', '501', 'root_concavity'))
    """
    number = number.strip().upper()
    kind = find(number)
    if kind is None:
        return (number,)
    shorter = _shorter(number)
    own = [each for each in shorter if find(each) is kind]
    others = [each for each in shorter if each not in own]
    return (number, *own, kind.key, *others, *lineage(kind)[1:])
