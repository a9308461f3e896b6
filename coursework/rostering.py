"""Changes of who is in a section. Nobody is ever deleted: who leaves, leaves the coupons behind."""

from collections.abc import Iterable, Sequence
from copy import copy
from datetime import datetime

from django.contrib.auth.hashers import make_password
from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from coursework import audit, terms
from coursework.conflicts import Conflict
from coursework.models import Act, Enrolment, Section, User
from coursework.roster import Row
from coursework.roster_diff import COPIED, Change, Diff, Kind, compare


class RosterMoved(Conflict):
    """The section is not as it was when the change was shown."""


def apply(
    section: Section,
    rows: Sequence[Row],
    *,
    complete: bool,
    fingerprint: str,
    by: User | None,
    at: datetime,
    class_id: str = "",
) -> Diff:
    """Make a section what a list says, all of it or nothing, and return what was changed.

    Accounts that are made have no password; a one-time sign-in code opens them.

    Parameters
    ----------
    fingerprint : str
        That of the difference which was shown and confirmed.
    class_id : str
        The id of the class in the set that the list came from; kept with the section.

    Raises
    ------
    RosterMoved
        When the list would by now change something else.
    ClosedTerm
        When the term is closed.
    """
    try:
        with transaction.atomic():
            _lock(section)
            diff = compare(section, rows, complete=complete)
            if diff.problems or diff.fingerprint != fingerprint:
                raise RosterMoved
            _make_changes(section, diff, at)
            if class_id:
                Section.objects.filter(pk=section.pk).update(source_id=class_id)
            audit.record_act(by, Act.ROSTER_APPLIED, section, after=_told(diff))
    except IntegrityError as error:
        raise RosterMoved from error
    return diff


def _told(diff: Diff) -> dict[str, int]:
    """Return how many students each kind of change was about."""
    joined = (Kind.NEW, Kind.JOINS, Kind.LET_IN, Kind.BACK)
    counts = {kind.name.lower(): len(diff.of(kind)) for kind in joined}
    return counts | {"corrected": len(diff.corrected), "left": len(diff.leaving)}


def _lock(section: Section) -> None:
    """Keep others from changing the roster until the transaction is over.

    Raises
    ------
    ClosedTerm
        When the term is closed.
    """
    locked = Section.objects.select_for_update(of=("self",)).select_related("term")
    terms.need_open(locked.get(pk=section.pk).term)


def _make_changes(section: Section, diff: Diff, at: datetime) -> None:
    made = _accounts(section, diff.of(Kind.NEW))
    _correct([each for each in diff.changes if each.corrected])
    joining = [*made, *(each.user for each in diff.of(Kind.JOINS) if each.user)]
    Enrolment.objects.bulk_create(
        Enrolment(section=section, user=each, role=Enrolment.Role.STUDENT, joined_at=at)
        for each in joining
    )
    back = [each.enrolment.pk for each in diff.of(Kind.LET_IN, Kind.BACK) if each.enrolment]
    Enrolment.objects.filter(pk__in=back).update(left_at=None, waits_for_approval=False)
    leaving = [each.pk for each in diff.leaving]
    Enrolment.objects.filter(pk__in=leaving).update(left_at=at)


def _accounts(section: Section, changes: Iterable[Change]) -> list[User]:
    return User.objects.bulk_create(
        User(
            username=each.username,
            school=section.term.school,
            role=User.Role.STUDENT,
            password=make_password(None),
            **{name: getattr(each.row, name) for name in COPIED},
        )
        for each in changes
    )


def _correct(changes: Iterable[Change]) -> None:
    corrected = []
    for each in changes:
        # A copy, so that the difference goes on telling what was corrected.
        user = copy(each.user)
        if user:
            for name, (_old, new) in each.corrected.items():
                setattr(user, name, new)
            corrected.append(user)
    User.objects.bulk_update(corrected, COPIED)


@transaction.atomic
def take_out(section: Section, enrolments: Iterable[int], *, by: User | None, at: datetime) -> int:
    """Let students leave a section, and return how many were in it.

    Raises
    ------
    ClosedTerm
        When the term is closed.
    """
    _lock(section)
    found = list(_students(section, enrolments).filter(left_at=None))
    return _set_left(found, at, by, Act.STUDENTS_TAKEN_OUT)


@transaction.atomic
def take_back(section: Section, enrolments: Iterable[int], *, by: User | None) -> int:
    """Let students who left come back with all their coupons, and return how many.

    Raises
    ------
    ClosedTerm
        When the term is closed.
    """
    _lock(section)
    found = list(_students(section, enrolments).filter(left_at__isnull=False))
    return _set_left(found, None, by, Act.STUDENTS_TAKEN_BACK)


def _set_left(
    found: Sequence[Enrolment], left_at: datetime | None, by: User | None, act: Act
) -> int:
    changed = Enrolment.objects.filter(pk__in=[each.pk for each in found]).update(left_at=left_at)
    audit.record_acts(by, act, [audit.Entry(about=each) for each in found])
    return changed


def _students(section: Section, enrolments: Iterable[int]) -> QuerySet[Enrolment]:
    return Enrolment.objects.filter(
        section=section,
        pk__in=list(enrolments),
        role=Enrolment.Role.STUDENT,
        waits_for_approval=False,
    ).select_related("user", "section__plan")
