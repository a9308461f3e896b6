"""Rows that are locked until the transaction ends, and read anew under the lock."""

from coursework.models import Enrolment, School


def locked_enrolment(pk: int) -> Enrolment:
    """Return an enrolment as it is once its row is locked, with what hangs above it.

    Two queries: PostgreSQL finds no row where a lock is waited for in a join, and the row that is
    waited for goes to another section meanwhile.
    """
    Enrolment.objects.select_for_update().only("pk").get(pk=pk)
    return Enrolment.objects.select_related("section__term__school__settings", "user").get(pk=pk)


def lock_school(pk: int) -> None:
    """Wait for the row of a school: what holds records and what removes them take turns."""
    School.objects.select_for_update().only("pk").get(pk=pk)
