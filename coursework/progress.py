"""How far students are: the state of each exercise, worked out from coupons and sign-offs.

Nothing here is stored. The states of any number of students cost three queries.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, IntegerChoices, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from coursework.models import Coupon, Enrolment, Exercise, SignOff, User


class State(IntegerChoices):
    """How far a student is in an exercise."""

    NOT_STARTED = 0, gettext_lazy("not started")
    STARTED = 1, gettext_lazy("started")
    COMING_ALONG = 2, gettext_lazy("coming along")
    NEARLY_THERE = 3, gettext_lazy("nearly there")
    COMPETENT = 4, gettext_lazy("competent")


@dataclass(frozen=True, slots=True)
class ExerciseProgress:
    """One exercise of one student. A withdrawn coupon is in no count.

    ``logged`` are all coupons, ``good`` the accepted ones of them, ``waiting`` those without a
    grade; ``missing`` says in plain words what is open, and is empty where nothing is.
    """

    exercise: Exercise
    logged: int = 0
    good: int = 0
    waiting: int = 0
    signed_by: User | None = None
    signed_at: datetime | None = None

    @property
    def wanted(self) -> int:
        return self.exercise.good_coupons_wanted

    @property
    def state(self) -> State:
        return state(self.logged, self.good, self.wanted, signed=self.signed_at is not None)

    @property
    def ready_for_sign_off(self) -> bool:
        """Whether the good coupons are there and only an instructor's name is wanted."""
        return self.good >= self.wanted and self.signed_at is None

    @property
    def good_of_wanted(self) -> str:
        """How many good coupons there are, in words that hold with more than wanted too."""
        said = {"good": self.good, "wanted": self.wanted}
        if self.good > self.wanted:
            return _("%(good)d good, %(wanted)d wanted") % said
        return _("%(good)d of %(wanted)d good") % said

    @property
    def missing(self) -> str:
        still = self.wanted - self.good
        if still > 0:
            return ngettext("%d more good coupon", "%d more good coupons", still) % still
        return _("an instructor's sign-off") if self.ready_for_sign_off else ""


def state(logged: int, good: int, wanted: int, *, signed: bool) -> State:
    """Return the state that these counts make.

    Parameters
    ----------
    logged, good, wanted : int
        Coupons logged, accepted ones among them, and how many good ones the exercise asks for.
    signed : bool
        Whether an instructor has signed the exercise off. A sign-off alone makes nobody
        competent: after a regrade the good coupons may be missing again.
    """
    if logged == 0:
        return State.NOT_STARTED
    if good == 0:
        return State.STARTED
    if good >= wanted:
        return State.COMPETENT if signed else State.NEARLY_THERE
    return State.NEARLY_THERE if good == wanted - 1 else State.COMING_ALONG


def states(enrolments: Sequence[Enrolment]) -> dict[int, list[ExerciseProgress]]:
    """Return every exercise of every student, in the order of the plan, by enrolment.

    Parameters
    ----------
    enrolments : Sequence[Enrolment]
        Students, with their ``section`` at hand, as ``access.enrolments`` gives them.
    """
    exercises: dict[int, list[Exercise]] = {}
    plans = {each.section.plan_id for each in enrolments}
    for exercise in Exercise.objects.filter(plan__in=plans).order_by("place"):
        exercises.setdefault(exercise.plan_id, []).append(exercise)
    counts, signed = _counts(enrolments), _sign_offs(enrolments)
    return {
        each.pk: [
            _progress(exercise, counts.get(key), signed.get(key))
            for exercise in exercises.get(each.section.plan_id, [])
            for key in [(each.pk, exercise.pk)]
        ]
        for each in enrolments
    }


def states_of(enrolment: Enrolment) -> list[ExerciseProgress]:
    """Return every exercise of one student, in the order of the plan."""
    return states([enrolment])[enrolment.pk]


def competent(progress: Iterable[ExerciseProgress]) -> int:
    """Return in how many of these exercises the student is competent."""
    return sum(each.state == State.COMPETENT for each in progress)


type _Counts = dict[str, int]
type _Key = tuple[int, int]


def _progress(
    exercise: Exercise, counts: _Counts | None, sign_off: SignOff | None
) -> ExerciseProgress:
    return ExerciseProgress(
        exercise,
        **(counts or {}),
        signed_by=sign_off.signed_by if sign_off else None,
        signed_at=sign_off.signed_at if sign_off else None,
    )


def _counts(enrolments: Sequence[Enrolment]) -> dict[_Key, _Counts]:
    """Count coupons by enrolment and exercise, along the index that starts with the section."""
    rows = (
        Coupon.objects.filter(
            section__in={each.section_id for each in enrolments}, enrolment__in=enrolments
        )
        .exclude(state=Coupon.State.WITHDRAWN)
        .order_by()
        .values_list("enrolment_id", "exercise_id")
        .annotate(
            logged=Count("pk"),
            good=Count("pk", filter=Q(state=Coupon.State.ACCEPTED)),
            waiting=Count("pk", filter=Q(state=Coupon.State.HANDED_IN)),
        )
    )
    return {
        (enrolment, exercise): {"logged": logged, "good": good, "waiting": waiting}
        for enrolment, exercise, logged, good, waiting in rows
    }


def _sign_offs(enrolments: Sequence[Enrolment]) -> dict[_Key, SignOff]:
    rows = SignOff.objects.filter(enrolment__in=enrolments).select_related("signed_by")
    return {(each.enrolment_id, each.exercise_id): each for each in rows}
