"""The log of what left the school: to whom, and why.

A student's own download and what the school's own people use is no disclosure and is not logged
(34 CFR 99.32 and 99.31(a)(1), from memory).
"""

from collections.abc import Iterable

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy

from coursework.audit import record_act
from coursework.models import Act, Disclosure, Enrolment, User

# What 34 CFR 99.33 wants whoever gets a record to be told, from memory.
NO_ONWARD_DISCLOSURE = gettext_lazy(
    "Part of a student's education record: whoever gets it uses it for the purpose it was given "
    "for, and passes it on to nobody without the student's written consent."
)


@transaction.atomic
def disclose(
    by: User, enrolments: Iterable[Enrolment], what: str, to: str, why: str, note: str = ""
) -> Disclosure:
    """Log that a file about students leaves the school.

    Parameters
    ----------
    by : User
        Who gives it, of the school that the students are in.
    enrolments : iterable of Enrolment
        About whom it is; at least one.
    what : str
        The file in words, such as ``Term record 7QK4-MB2X (PDF)``; 160 characters at most.
    to : str
        Who gets it; 160 characters at most.
    why : str
        One of ``Disclosure.Why``.
    note : str
        Which interest, consent or reason; 300 characters at most.
    """
    about = list(enrolments)
    if not about:
        raise ValueError("A disclosure is about somebody.")
    disclosure = Disclosure.objects.create(
        school_id=about[0].section.term.school_id,
        what=what,
        to=to,
        why=why,
        note=note,
        disclosed_by=by,
        disclosed_at=timezone.now(),
    )
    disclosure.enrolments.set(about)
    said = {"about": [str(each.user) for each in about], "why": why, "note": note}
    record_act(by, Act.DISCLOSED, disclosure, after=said)
    return disclosure


def about(student: User) -> QuerySet[Disclosure]:
    """Return what was disclosed about a student, the newest first."""
    own = Enrolment.objects.filter(user=student, role=Enrolment.Role.STUDENT)
    return Disclosure.objects.filter(enrolments__in=own).distinct().order_by("-disclosed_at", "-pk")
