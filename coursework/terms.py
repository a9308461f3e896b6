"""Terms of a school: opened, closed, opened again; and the sections that are set up in one."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import Count, Q
from django.utils.translation import gettext as _

from coursework import audit, staffing
from coursework.conflicts import ClosedTerm
from coursework.models import Act, Coupon, CoursePlan, School, Section, Term, User


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


@transaction.atomic
def open_term(
    school: School, *, name: str, starts_on: date, ends_on: date, by: User | None
) -> Term:
    """Open a new term of a school."""
    term = Term.objects.create(school=school, name=name, starts_on=starts_on, ends_on=ends_on)
    audit.record_act(by, Act.TERM_OPENED, term, after=_told(term))
    return term


@transaction.atomic
def rename(term: Term, *, name: str, starts_on: date, ends_on: date, by: User | None) -> None:
    """Give a term another name or other days; weeks are counted from the new first day."""
    before = _told(Term.objects.get(pk=term.pk))
    term.name, term.starts_on, term.ends_on = name, starts_on, ends_on
    term.save(update_fields=["name", "starts_on", "ends_on"])
    audit.record_change(by, Act.TERM_CHANGED, term, before=before, after=_told(term))


def _told(term: Term) -> dict[str, object]:
    return {"name": term.name, "starts_on": term.starts_on, "ends_on": term.ends_on}


@transaction.atomic
def close(term: Term, *, by: User | None, at: datetime) -> None:
    """Close a term; of one that is closed the first moment stays."""
    if Term.objects.filter(pk=term.pk, closed_at=None).update(closed_at=at):
        audit.record_act(by, Act.TERM_CLOSED, term)
    term.refresh_from_db(fields=["closed_at"])


@transaction.atomic
def reopen(term: Term, *, by: User | None) -> None:
    """Open a closed term again."""
    if Term.objects.filter(pk=term.pk, closed_at__isnull=False).update(closed_at=None):
        audit.record_act(by, Act.TERM_REOPENED, term)
    term.closed_at = None


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
    by: User | None,
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
    audit.record_act(by, Act.SECTION_OPENED, section, after={"term": term.name})
    staffing.set_instructors(section, instructors, lead=lead, by=by, at=at)
    return section
