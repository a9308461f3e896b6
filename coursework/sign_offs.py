"""An instructor's name under an exercise: this student is competent in it."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from coursework import audit, terms
from coursework.conflicts import Conflict
from coursework.models import Act, Enrolment, Exercise, SignOff, User
from coursework.progress import states_of


class NotReady(Conflict):
    """The exercise cannot be signed off yet; the message says what is missing."""


@transaction.atomic
def sign_off(enrolment: Enrolment, exercise: Exercise, *, by: User, at: datetime) -> SignOff:
    """Put an instructor's name under an exercise; a second time changes nothing.

    Raises
    ------
    NotReady
        When the rules of the exercise are not met yet.
    ClosedTerm
        When the term is closed.
    """
    terms.need_open(enrolment.section.term)
    (progress,) = [each for each in states_of(enrolment) if each.exercise.pk == exercise.pk]
    if not progress.rules_met:
        raise NotReady(
            _("%(exercise)s cannot be signed off yet. Still wanted: %(missing)s.")
            % {"exercise": exercise.title, "missing": progress.missing}
        )
    signed, new = SignOff.objects.get_or_create(
        enrolment=enrolment, exercise=exercise, defaults={"signed_by": by, "signed_at": at}
    )
    if new:
        audit.record_act(by, Act.SIGNED_OFF, signed)
    return signed
