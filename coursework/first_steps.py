"""What a school still needs before its first coupon, in the order in which it is done."""

from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _

from coursework import access
from coursework.models import Section, Term, User


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what is done, why, and where; ``posts`` where a press of the button does it."""

    says: str
    why: str
    done: bool
    url: str = ""
    link: str = ""
    posts: bool = False


def first_steps(user: User) -> list[Step]:
    """Return the steps up to the first student for a coordinator; none once there is one."""
    if access.enrolments(user).exists():
        return []
    term = access.terms(user).filter(closed_at=None).order_by("-starts_on", "pk").first()
    section = access.sections(user).filter(term=term).order_by("pk").first() if term else None
    return [_plan(user), _staff(user), _term(term), _section(term, section), _students(section)]


def _plan(user: User) -> Step:
    return Step(
        says=_("Start from a course plan"),
        why=_(
            "One comes with weldlog: twelve exercises in GTAW and GMAW with target windows, and a "
            "rubric. It is common practice, no source: a start to be edited, not a standard."
        ),
        done=access.plans(user).exists(),
        url=reverse("coursework:plan_lay_out"),
        link=_("Use this plan"),
        posts=True,
    )


def _staff(user: User) -> Step:
    teachers = access.staff(user).filter(role=User.Role.INSTRUCTOR, is_active=True)
    return Step(
        says=_("Add the instructors"),
        why=_("They grade. Each gets a slip with a code and chooses a password with it."),
        done=teachers.exists(),
        url=reverse("coursework:staff"),
        link=_("Add an instructor"),
    )


def _term(term: Term | None) -> Step:
    return Step(
        says=_("Open a term"),
        why=_("A name, the first day and the last."),
        done=term is not None,
        url=reverse("coursework:term_new"),
        link=_("Open a term"),
    )


def _section(term: Term | None, section: Section | None) -> Step:
    return Step(
        says=_("Open a section in it"),
        why=_("A class that meets together, with its course plan and its instructors."),
        done=section is not None,
        url=reverse("coursework:section_new", args=[term.pk]) if term else "",
        link=_("Open a section"),
    )


def _students(section: Section | None) -> Step:
    return Step(
        says=_("Bring the students in"),
        why=_("With a class list, or with a poster from which they join by themselves."),
        done=False,
        url=reverse("coursework:section", args=[section.pk]) if section else "",
        link=_("To the section"),
    )
