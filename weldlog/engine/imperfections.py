"""Imperfections by their ISO 6520-1 numbers, and the findings of the inspection family."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from weldlog.engine.facts import Imperfection
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.sources import source
from weldlog.engine.tables import rows

Group = Literal["1", "2", "3", "4", "5", "6", ""]

CRACK: Final = Rule(
    id="inspection-crack",
    severity="stop",
    says="A crack was found. No crack is accepted, whatever its size: show it to your instructor, "
    "find out why it cracked, and make the coupon again.",
    source="prep-S2",
    fields=("imperfections",),
)
UNKNOWN_NUMBER: Final = Rule(
    id="inspection-number-unknown",
    severity="advise",
    says="Imperfection {number} is not in the classroom list, so nothing is said about its causes "
    "or its limit. Check the number in the imperfection guide.",
    source="prep-S23",
    fields=("imperfections.number",),
)
RULES: Final = (CRACK, UNKNOWN_NUMBER)


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


@cache
def find(number: str) -> ImperfectionKind | None:
    """Return the kind of a number, or None where it is not in the list.

    A child that is not listed itself is taken for its parent: the numbers of ISO 6520-1 grow by a
    digit, and the cracks 102 to 106 belong to 100.

    >>> find("104").key, find("1013").key, find("105").key, find("9") is None
    ('crater_crack', 'crack', 'crack', True)
    """
    number = number.strip().upper()
    parents = [number[:end] for end in range(len(number), 2, -1)]
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


def is_crack(imperfection: Imperfection) -> bool:
    """Return whether an imperfection is a crack of any kind."""
    kind = find(imperfection.number)
    return kind is not None and kind.group == "1"


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Judge what was seen on the weld; limits of size belong to ``acceptance``."""
    seen = case.facts.imperfections
    if seen is None:
        yield NotAssessed("imperfections", ("imperfections",))
        return
    if any(is_crack(each) for each in seen):
        yield CRACK.found()
    unknown = dict.fromkeys(each.number for each in seen if find(each.number) is None)
    for number in unknown:
        yield UNKNOWN_NUMBER.found(measured=number, number=number)
