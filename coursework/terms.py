"""Terms of a school: opened, closed, opened again; and the sections that are set up in one."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import Count, Q
from django.utils.translation import gettext as _

from coursework import staffing
from coursework.conflicts import ClosedTerm
from coursework.models import Coupon, CoursePlan, School, Section, Term, User


@dataclass(frozen=True, slots=True)
class Waiting:
    """What a section still waits for: coupons without a grade, and grades that are held."""

    section: Section
    ungraded: int
    held: int


def need_open(term: Term) -> None:
    """Refuse a change in a term that is closed.

    Raises
    ------
    ClosedTerm
        With the sentence for whoever tried.
    """
    if term.closed_at:
        raise ClosedTerm(
            _(
                "%(term)s is closed: nothing is handed in, graded or changed in it any more. "
                "The coordinator can open it again."
            )
            % {"term": term}
        )


def open_term(school: School, *, name: str, starts_on: date, ends_on: date) -> Term:
    """Open a new term of a school."""
    return Term.objects.create(school=school, name=name, starts_on=starts_on, ends_on=ends_on)


def rename(term: Term, *, name: str, starts_on: date, ends_on: date) -> None:
    """Give a term another name or other days; weeks are counted from the new first day."""
    term.name, term.starts_on, term.ends_on = name, starts_on, ends_on
    term.save(update_fields=["name", "starts_on", "ends_on"])


def close(term: Term, *, at: datetime) -> None:
    """Close a term; of one that is closed the first moment stays."""
    Term.objects.filter(pk=term.pk, closed_at=None).update(closed_at=at)
    term.refresh_from_db(fields=["closed_at"])


def reopen(term: Term) -> None:
    """Open a closed term again."""
    term.closed_at = None
    term.save(update_fields=["closed_at"])


def still_waiting(term: Term) -> list[Waiting]:
    """Return the sections of a term in which something still waits for a grade or a release."""
    state = "coupons__state"
    sections = (
        term.sections.select_related("plan")
        .annotate(
            ungraded=Count("coupons", filter=Q(**{state: Coupon.State.HANDED_IN})),
            held=Count("coupons", filter=Q(**{state: Coupon.State.HELD})),
        )
        .filter(Q(ungraded__gt=0) | Q(held__gt=0))
        .order_by("plan__code", "name", "pk")
    )
    return [Waiting(each, each.ungraded, each.held) for each in sections]


@transaction.atomic
def open_section(
    term: Term,
    plan: CoursePlan,
    *,
    name: str,
    instructors: Iterable[User],
    lead: User | None,
    at: datetime,
) -> Section:
    """Open a section of a course plan, with whoever teaches it.

    The exercises and the rubric are those of the plan, so the section is ready for its students.

    Raises
    ------
    ClosedTerm
        When the term is closed.
    """
    need_open(term)
    section = Section.objects.create(term=term, plan=plan, name=name)
    staffing.set_instructors(section, instructors, lead=lead, at=at)
    return section
