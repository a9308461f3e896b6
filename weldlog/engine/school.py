"""What a school may set about the rules."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cached_property
from typing import Annotated, Final

from weldlog.engine.imperfection_list import by_key, find, is_crack
from weldlog.engine.limit_sets import (
    CONFIRMABLE,
    SETS,
    LimitSet,
    OwnLimit,
    OwnLimitSet,
    own_set,
)
from weldlog.engine.limits import fault_of
from weldlog.engine.reading import Above, Unreadable, read_members


@dataclass(frozen=True, kw_only=True)
class SchoolRules:
    """The settings of a school that change a review.

    Parameters
    ----------
    cleaning_window_h : float
        Hours from cleaning to the arc within which nothing is said [h]; source prep-S1.
    cleaning_redo_h : float
        Hours after which everything is done again [h]; common practice, no source.
    dcen_with_helium : bool
        Whether GTAW on DCEN with helium is taught at this school.
    confirmed_limits : tuple of str
        Ids of the limits from memory that an instructor found in the school's own copy, such as
        ``iso10042-c-Q11``; the others are looked up.
    limit_sets : tuple of OwnLimitSet
        Sets of limits of the school's own, which coupons name in ``acceptance_set``.
    """

    cleaning_window_h: Annotated[float, Above(0)] = 4.0
    cleaning_redo_h: Annotated[float, Above(0)] = 8.0
    dcen_with_helium: bool = False
    confirmed_limits: tuple[str, ...] = ()
    limit_sets: tuple[OwnLimitSet, ...] = ()

    def hash(self) -> str:
        """Return the short hash that is stored beside the edition [16 hexadecimal digits].

        In what order limits were confirmed does not matter.
        """
        return self._hash

    @cached_property
    def _hash(self) -> str:
        document = asdict(self) | {"confirmed_limits": sorted(self.confirmed)}
        text = json.dumps(document, sort_keys=True, separators=(",", ":"))
        return hashlib.sha256(text.encode()).hexdigest()[:16]

    @cached_property
    def confirmed(self) -> frozenset[str]:
        """Ids of the limits that were confirmed."""
        return frozenset(self.confirmed_limits)

    @cached_property
    def own_sets(self) -> Mapping[str, LimitSet]:
        """The school's own sets of limits, by name."""
        return {each.name: own_set(each) for each in self.limit_sets}


DEFAULT: Final = SchoolRules()


def read_rules(document: object) -> SchoolRules:
    """Read the settings of a school from JSON in the shape of ``tests/contract/rules.schema.json``.

    Raises
    ------
    weldlog.engine.reading.Unreadable
        When a member is unknown or of the wrong kind, or a limit cannot be judged by.

    >>> own = {"name": "first term", "limits": [
    ...     {"imperfection": "undercut", "judged_by": "size", "factor": 0.1, "of": "thickness"}]}
    >>> read_rules({"limit_sets": [own]}).own_sets["first term"].limits[0].words
    'up to 0.1 × thickness'
    """
    rules = read_members(SchoolRules, document, path="rules")
    for place, confirmed in enumerate(rules.confirmed_limits):
        if confirmed not in CONFIRMABLE:
            said = "no such limit; it reads like iso10042-c-Q11"
            raise Unreadable(f"rules.confirmed_limits[{place}]: {said}.")
    for place, each in enumerate(rules.limit_sets):
        _refuse_name(rules, place)
        for row, limit in enumerate(each.limits):
            if fault := _fault(limit):
                raise Unreadable(f"rules.limit_sets[{place}].limits[{row}]: {fault}.")
    return rules


def _refuse_name(rules: SchoolRules, place: int) -> None:
    """Refuse a name that no coupon could tell from another."""
    name = rules.limit_sets[place].name
    before = [each.name for each in rules.limit_sets[:place]]
    if not name.strip():
        raise Unreadable(f"rules.limit_sets[{place}].name: give the set a name.")
    if name in SETS or name in before:
        raise Unreadable(f"rules.limit_sets[{place}].name: there is a set of this name already.")


def _fault(limit: OwnLimit) -> str | None:
    """Return why no coupon can be judged by a limit, or None."""
    kind = find(limit.imperfection) or by_key(limit.imperfection)
    if kind is None:
        return "imperfection is neither a number nor a key of the classroom list"
    if is_crack(kind.numbers[0]) and limit.judged_by != "never":
        return "a crack is never accepted"
    return fault_of(limit)
