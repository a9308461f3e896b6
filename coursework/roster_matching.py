"""Whose account a row of a class list means: by id, number or user name, else by the name."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from django.db.models import Q
from django.db.models.functions import Lower
from django.utils.translation import gettext as _

from coursework.models import Enrolment, Section, User
from coursework.roster import Row, same

KEYS: Final = ("source_id", "student_number", "username")


class Accounts:
    """The accounts that the rows of a list may mean, looked up together.

    Parameters
    ----------
    section : Section
        With its term at hand.
    enrolments : sequence of Enrolment
        All of the section, with their users at hand.
    rows : sequence of Row
        The list.
    """

    def __init__(
        self, section: Section, enrolments: Sequence[Enrolment], rows: Sequence[Row]
    ) -> None:
        self.school = section.term.school_id
        self.enrolment_of = {each.user_id: each for each in enrolments}
        students = [each.user for each in enrolments if each.role == Enrolment.Role.STUDENT]
        self.accounts = {each.pk: each for each in [*students, *self._elsewhere(rows)]}
        self.by_key = self._index(self.accounts.values())
        self.meant = {each.pk: row for row in rows for each in self._named(row)}
        self.by_name: dict[tuple[str, str], list[User]] = {}
        for each in students:
            name = same(each.last_name), same(each.first_name)
            self.by_name.setdefault(name, []).append(each)
        self.used: set[int] = set()

    def _elsewhere(self, rows: Sequence[Row]) -> Iterable[User]:
        numbers, ids, names = (
            {getattr(row, key) for row in rows} - {""}
            for key in ("student_number", "source_id", "username")
        )
        own = Q(student_number__in=numbers) | Q(source_id__in=ids)
        named = Q(lower__in={each.lower() for each in names})
        people = User.objects.annotate(lower=Lower("username"))
        return people.filter(Q(own, school=self.school) | named)

    def _index(self, accounts: Iterable[User]) -> Mapping[tuple[str, str], User]:
        return {
            (key, same(getattr(each, key))): each
            for each in accounts
            for key in KEYS
            if getattr(each, key) and (key == "username" or each.school_id == self.school)
        }

    def _named(self, row: Row) -> list[User]:
        """Return the accounts that a row names by an id, a number or a user name."""
        named = ((key, same(getattr(row, key))) for key in KEYS)
        found = {self.by_key[each].pk: self.by_key[each] for each in named if each in self.by_key}
        return list(found.values())

    def find(self, row: Row) -> tuple[User | None, str]:
        """Return whose account a row means, and why it can mean nobody."""
        named = self._named(row)
        if len(named) > 1:
            return None, _("Number, source id and user name belong to different people.")
        found = named[0] if named else None
        if found is None:
            of_name = [each for each in self.by_name.get(row.key, ()) if self._may_be(each, row)]
            if len(of_name) > 1:
                return None, _("Two students of the section have this name. Give their number.")
            found = of_name[0] if of_name else None
        reason = self._refusal(found, row) if found else ""
        if found and not reason:
            self.used.add(found.pk)
        return found, reason

    def _may_be(self, user: User, row: Row) -> bool:
        """Return whether a namesake of the section is who the row means."""
        apart = any(
            getattr(row, key) and getattr(user, key) and getattr(row, key) != getattr(user, key)
            for key in ("student_number", "source_id")
        )
        return not apart and user.pk not in self.meant

    def _refusal(self, user: User, row: Row) -> str:
        enrolment = self.enrolment_of.get(user.pk)
        if user.school_id != self.school or not user.is_student:
            return _("This user name belongs to somebody who is no student here.")
        if enrolment and enrolment.role != Enrolment.Role.STUDENT:
            return _("This is a teacher of the section.")
        if user.pk in self.used:
            return _("Another line means the same student.")
        if enrolment is None and (same(user.last_name), same(user.first_name)) != row.key:
            # A number mistyped by one digit must not fetch, and rename, somebody else's student.
            return _("This number or user name is that of a student of another name. Check it.")
        return ""
