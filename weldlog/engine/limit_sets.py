"""Sets of limits: the classroom set, ISO 10042 from memory, and what a school sets itself.

The classroom set (rows CV01 to CV12 of the preparation notes) is the default: read in a
bridge-repair manual (prep-S2), it serves here for teaching only. Its alternative and the three
levels of ISO 10042 (rows Q01 to Q24) speak only once the school has confirmed a row against its
own copy, and never where what is remembered is unsure. Row Q25, an older edition, is not judged
by.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Final

from weldlog.engine.imperfection_list import ImperfectionKind, key_of, names_of
from weldlog.engine.limits import TAKES, TERMS, Limit, Terms, fault_of
from weldlog.engine.reading import Items, LongestText
from weldlog.engine.sources import source
from weldlog.engine.tables import rows

CLASSROOM: Final = "classroom"
ALTERNATIVE: Final = "classroom_alternative"
ISO_LEVELS: Final = ("b", "c", "d")
ISO_THINNEST_MM: Final = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnLimit(Terms):
    """One limit that a school sets, for an ISO 6520-1 number or a key of the classroom list."""

    imperfection: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnLimitSet:
    """A set of limits that a school sets; a coupon names it in ``acceptance_set``."""

    name: Annotated[str, LongestText(40)]
    limits: Annotated[tuple[OwnLimit, ...], Items(1, None)]


@dataclass(frozen=True, slots=True, eq=False)
class LimitSet:
    """A set of limits by name; no verdict on metal thinner than ``thinnest_mm`` [mm].

    Where that is 0, no limit of the set is for some thicknesses only.
    """

    name: str
    limits: tuple[Limit, ...]
    thinnest_mm: float
    by_name: Mapping[str, tuple[Limit, ...]]

    def of_itself(self, number: str) -> tuple[Limit, ...]:
        """Return the limits of a number of the list, and none of its parents."""
        return self.by_name.get(number) or self.by_name.get(key_of(number), ())

    def of(self, number: str) -> tuple[Limit, ...]:
        """Return the limits of a number, or those of its nearest parent."""
        named = (self.by_name.get(name) for name in names_of(number))
        return next((each for each in named if each), ())


def limit_set(name: str, limits: Iterable[Limit], thinnest_mm: float = 0.0) -> LimitSet:
    """Return a set of these limits, in their order."""
    kept = tuple(limits)
    by_name: dict[str, tuple[Limit, ...]] = {}
    for limit in kept:
        for each in limit.imperfections:
            by_name[each] = (*by_name.get(each, ()), limit)
    return LimitSet(name, kept, thinnest_mm, by_name)


def own_set(own: OwnLimitSet) -> LimitSet:
    """Return a school's own set in the shape of the others; its rows are numbered from 1."""
    return limit_set(
        own.name,
        (
            Limit(
                id=f"{own.name}-{place}",
                set=own.name,
                imperfections=(_spelled(each.imperfection),),
                source="school",
                **{name: getattr(each, name) for name in TERMS},
            )
            for place, each in enumerate(own.limits, start=1)
        ),
    )


def _spelled(imperfection: str) -> str:
    """Return a number as the list writes it; keys are in small letters there."""
    name = imperfection.strip()
    return name.upper() if name[:1] in "lL" and name[1:].isdecimal() else name


def limits_of(kind: ImperfectionKind) -> tuple[Limit, ...]:
    """Return every limit of the built-in sets that speaks of a kind, set by set."""
    found: dict[int, Limit] = {}
    for each in SETS.values():
        for number in kind.numbers:
            found |= {id(limit): limit for limit in each.of(number)}
    return tuple(found.values())


def _row(row: Mapping[str, str], name: str, **more: Any) -> Limit:
    numbers = {
        each: float(row[each]) if row.get(each) else None
        for each in (*TERMS, "above_mm", "to_mm", "unsure_above_mm")
        if each not in ("judged_by", "of")
    }
    limit = Limit(
        id=f"{name.replace('_', '-')}-{row['row']}",
        set=name,
        imperfections=tuple(row["imperfections"].split()),
        judged_by=row["judged_by"],  # type: ignore[arg-type]
        of=row.get("of") or None,  # type: ignore[arg-type]
        source=source(row["source"]).key,
        confidence=row.get("confidence") or None,  # type: ignore[arg-type]
        note=row["note"],
        **numbers,  # type: ignore[arg-type]
        **more,
    )
    if limit.judged_by not in TAKES or (fault := fault_of(limit)):
        raise ValueError(f"{limit.id}: {fault if limit.judged_by in TAKES else 'how to judge?'}")
    return limit


def _built_in() -> Iterable[LimitSet]:
    for name in (CLASSROOM, ALTERNATIVE):
        table = rows(f"limits_{name}.tsv")
        off = name != CLASSROOM
        yield limit_set(name, (_row(each, name, must_be_confirmed=off) for each in table))
    table = rows("limits_iso10042.tsv")
    for level in ISO_LEVELS:
        name = f"iso10042_{level}"
        chosen = (each for each in table if each["level"] == level)
        limits = (_row(each, name, must_be_confirmed=True) for each in chosen)
        yield limit_set(name, limits, ISO_THINNEST_MM)


SETS: Final = {each.name: each for each in _built_in()}
CONFIRMABLE: Final = frozenset(
    limit.id for each in SETS.values() for limit in each.limits if limit.must_be_confirmed
)
