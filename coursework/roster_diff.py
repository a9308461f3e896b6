"""What a class list would change in a section; nothing is changed by asking."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from coursework import sourced_ids, usernames
from coursework.models import Enrolment, School, Section, User
from coursework.roster import Problem, Row
from coursework.roster_matching import Accounts

# Above this share of the section, whoever applies a list types how many students leave.
MOST_LEAVING_PERCENT: Final = 10
# A list may correct these; what it leaves empty, it says nothing about.
COPIED: Final = ("last_name", "first_name", "student_number", "source_id")


class Kind(StrEnum):
    """What happens to a student of the list."""

    NEW = "new"
    JOINS = "joins"
    LET_IN = "let in"
    BACK = "back"
    STAYS = "stays"


@dataclass(frozen=True, slots=True)
class Change:
    """What a row of the list does: to an account that is there, or with one that is made."""

    row: Row
    kind: Kind
    username: str
    user: User | None = None
    enrolment: Enrolment | None = None

    @property
    def corrected(self) -> dict[str, tuple[str, str]]:
        """What the account says now and will say: name of the column, old and new value."""
        values = {name: getattr(self.row, name) for name in COPIED}
        return {
            name: (getattr(self.user, name), value)
            for name, value in values.items()
            if self.user and value and getattr(self.user, name) != value
        }

    @property
    def renamed_from(self) -> str:
        """The name until now, where the list has another."""
        if self.user and {"last_name", "first_name"} & self.corrected.keys():
            return f"{self.user.last_name}, {self.user.first_name}"
        return ""


@dataclass(frozen=True, slots=True)
class Diff:
    """Everything that a list would change in a section."""

    changes: tuple[Change, ...]
    leaving: tuple[Enrolment, ...]
    problems: tuple[Problem, ...]
    students_now: int

    def of(self, *kinds: Kind) -> list[Change]:
        """Return the changes of some kinds, in the order of the list."""
        return [each for each in self.changes if each.kind in kinds]

    @property
    def corrected(self) -> list[Change]:
        """Those who stay, with something that the list corrects."""
        return [each for each in self.of(Kind.STAYS) if each.corrected]

    @property
    def unchanged(self) -> list[Change]:
        """Those who stay as they are."""
        return [each for each in self.of(Kind.STAYS) if not each.corrected]

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to apply."""
        return not self.leaving and len(self.unchanged) == len(self.changes)

    @property
    def wants_count(self) -> bool:
        """Whether so many leave that their number is to be typed."""
        return len(self.leaving) * 100 > self.students_now * MOST_LEAVING_PERCENT

    @property
    def fingerprint(self) -> str:
        """What two differences have in common that change the same."""
        changes = [
            [each.kind, each.user.pk if each.user else None, *_values(each.row), each.corrected]
            for each in self.changes
        ]
        leaving = sorted(each.pk for each in self.leaving)
        said = json.dumps([sorted(changes, key=str), leaving])
        return hashlib.sha256(said.encode()).hexdigest()


def _values(row: Row) -> list[str]:
    return [getattr(row, name) for name in (*COPIED, "username")]


def compare(section: Section, rows: Sequence[Row], *, complete: bool) -> Diff:
    """Return what a list would change in a section; nothing is changed by asking.

    Parameters
    ----------
    section : Section
        With its term and school at hand.
    rows : sequence of Row
        The students of the list, none of them twice.
    complete : bool
        Whether the list names the whole section, so that whoever is not on it leaves.
    """
    enrolments = list(Enrolment.objects.filter(section=section).select_related("user"))
    known = Accounts(section, enrolments, rows)
    changes: list[Change] = []
    problems: list[Problem] = []
    for row in rows:
        found, reason = known.find(row)
        if reason:
            problems.append(Problem(row.line, reason))
        else:
            enrolment = known.enrolment_of.get(found.pk) if found else None
            changes.append(_change(row, found, enrolment, section.term.school))
    present = [each for each in enrolments if is_in(each)]
    listed = {each.enrolment.pk for each in changes if each.enrolment}
    leaving = [each for each in present if each.pk not in listed] if complete else []
    return Diff(tuple(_with_names(changes)), tuple(leaving), tuple(problems), len(present))


def is_in(enrolment: Enrolment) -> bool:
    """Return whether a student is in the section now."""
    learns = enrolment.role == Enrolment.Role.STUDENT
    return learns and enrolment.left_at is None and not enrolment.waits_for_approval


def _change(row: Row, user: User | None, enrolment: Enrolment | None, school: School) -> Change:
    if user is None:
        return Change(row, Kind.NEW, row.username)
    row = _without_own_id(row, user, school)
    kind = Kind.JOINS
    if enrolment:
        kind = Kind.BACK if enrolment.left_at else Kind.STAYS
        kind = Kind.LET_IN if enrolment.waits_for_approval else kind
    return Change(row, kind, user.username, user, enrolment)


def _without_own_id(row: Row, user: User, school: School) -> Row:
    """Return a row without the id under which we ourselves exported whom it means."""
    own = not user.source_id and row.source_id == sourced_ids.of_person(school, user)
    return replace(row, source_id="") if own else row


def _with_names(changes: Sequence[Change]) -> list[Change]:
    """Give everybody who is new and whom the list gives none a user name."""
    nameless = [each.row for each in changes if not each.username]
    listed = {each.username.lower() for each in changes if each.username}
    made = iter(usernames.make([(each.first_name, each.last_name) for each in nameless], listed))
    return [each if each.username else Change(each.row, each.kind, next(made)) for each in changes]
