"""How far students are: the state of each exercise, worked out from coupons and sign-offs.

Nothing here is stored. The states of any number of students cost three queries, and one more
each where an exercise asks for good coupons in a row or for a check test.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any, Protocol

from django.db.models import Count, F, IntegerChoices, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from coursework import check_tests
from coursework.models import Coupon, Enrolment, Exercise, SignOff, User

UNDECIDED = (Coupon.State.HANDED_IN, Coupon.State.HELD)
NAMES = ("first_name", "last_name", "username")
SIGNER = [f"signed_by__{name}" for name in NAMES]


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
    grade that the student knows of; ``in_a_row`` is the longest run of good ones among the graded,
    ``safety_open`` the ungraded ones with a safety stop, ``tested`` says whether a good one passed
    the check test. ``missing`` says in plain words what is open, and is empty where nothing is.
    """

    exercise: Exercise
    logged: int = 0
    good: int = 0
    waiting: int = 0
    in_a_row: int = 0
    safety_open: int = 0
    tested: bool = False
    signed_by: User | None = None
    signed_at: datetime | None = None

    @property
    def wanted(self) -> int:
        return self.exercise.good_coupons_wanted

    @property
    def state(self) -> State:
        done = self.signed_at is not None and self.rules_met
        return state(self.logged, self.good, self.wanted, competent=done)

    @property
    def rules_met(self) -> bool:
        """Whether everything is there but an instructor's name."""
        return not any(self._open_rules())

    @property
    def ready_for_sign_off(self) -> bool:
        """Whether only an instructor's name is wanted."""
        return self.rules_met and self.signed_at is None

    @property
    def good_of_wanted(self) -> str:
        """How many good coupons there are, in words that hold with more than wanted too."""
        said = {"good": self.good, "wanted": self.wanted}
        if self.good > self.wanted:
            return _("%(good)d good, %(wanted)d wanted") % said
        return _("%(good)d of %(wanted)d good") % said

    @property
    def missing(self) -> str:
        said = self._wanting()
        if not said and self.signed_at is None:
            said = [_("an instructor's sign-off")]
        return ", ".join(said)

    def _open_rules(self) -> tuple[int, bool, bool, int]:
        """Return the good coupons still wanted, and whether a row, a test, a look is wanted."""
        still = max(self.wanted - self.good, 0)
        return (
            still,
            not still and self.in_a_row < self.exercise.in_a_row_wanted,
            not still and bool(self.exercise.check_test) and not self.tested,
            self.safety_open,
        )

    def _wanting(self) -> list[str]:
        """Return what the rules of the exercise still ask for, in plain words."""
        still, row, test, look = self._open_rules()
        said = []
        if still:
            said.append(ngettext("%d more good coupon", "%d more good coupons", still) % still)
        if row:
            said.append(_("%d good coupons in a row") % self.exercise.in_a_row_wanted)
        if test:
            said.append(_("a check test that passed (%s)") % self.exercise.get_check_test_display())
        if look:
            said.append(_("a safety stop to be looked at with the instructor"))
        return said


def state(logged: int, good: int, wanted: int, *, competent: bool) -> State:
    """Return the state that these counts make.

    Parameters
    ----------
    logged, good, wanted : int
        Coupons logged, accepted ones among them, and how many good ones the exercise asks for.
    competent : bool
        Whether the rules are met and an instructor has signed the exercise off. A sign-off alone
        makes nobody competent: after a regrade the good coupons may be missing again.
    """
    if logged == 0:
        return State.NOT_STARTED
    if good == 0:
        return State.STARTED
    if good >= wanted:
        return State.COMPETENT if competent else State.NEARLY_THERE
    return State.NEARLY_THERE if good == wanted - 1 else State.COMING_ALONG


type _Counts = dict[str, Any]
type _Key = tuple[int, int]
type _Signed = tuple[User, datetime]


class Tried(Protocol):
    """A coupon that was read already; ``unsafe`` counts its safety stops."""

    @property
    def state(self) -> str: ...
    @property
    def unsafe(self) -> int | None: ...


def states(
    enrolments: Sequence[Enrolment], tries: Mapping[_Key, Sequence[Tried]] | None = None
) -> dict[int, list[ExerciseProgress]]:
    """Return every exercise of every student, in the order of the plan, by enrolment.

    Parameters
    ----------
    enrolments : Sequence[Enrolment]
        Students, with their ``section`` at hand, as ``access.enrolments`` gives them.
    tries : Mapping or None
        All their coupons that are not withdrawn, in the order of hand-in from either end, by
        enrolment and exercise, where the caller has read them; else they are counted by queries.
    """
    plans = {each.section.plan_id for each in enrolments}
    last = F("retired_at").asc(nulls_last=True)
    taught = list(Exercise.objects.filter(plan__in=plans).order_by("place", last, "pk"))
    own = _own(enrolments)
    if tries is None:
        counts = _counts(own, taught)
    else:
        counts = {key: _recount(coupons) for key, coupons in tries.items()}
    for key in _tested(own, taught) & counts.keys():
        counts[key]["tested"] = True
    signed = _sign_offs(enrolments)
    shown = _shown(enrolments, taught, counts)
    return {
        each.pk: [
            _progress(exercise, counts.get(key), signed.get(key))
            for exercise in shown[each.section_id]
            for key in [(each.pk, exercise.pk)]
        ]
        for each in enrolments
    }


def _shown(
    enrolments: Sequence[Enrolment], taught: Sequence[Exercise], counts: Mapping[_Key, _Counts]
) -> dict[int, list[Exercise]]:
    """Return the exercises of each section: those taught now, and the retired ones it has tried."""
    tried: dict[int, set[int]] = {}
    sections = {each.pk: each.section_id for each in enrolments}
    for enrolment, exercise in counts:
        tried.setdefault(sections.get(enrolment, 0), set()).add(exercise)
    return {
        each.section_id: [
            exercise
            for exercise in taught
            if exercise.plan_id == each.section.plan_id
            and (exercise.retired_at is None or exercise.pk in tried.get(each.section_id, ()))
        ]
        for each in {one.section_id: one for one in enrolments}.values()
    }


def states_of(enrolment: Enrolment) -> list[ExerciseProgress]:
    """Return every exercise of one student, in the order of the plan."""
    return states([enrolment])[enrolment.pk]


def competent(progress: Iterable[ExerciseProgress]) -> int:
    """Return in how many of these exercises the student is competent."""
    return sum(each.state == State.COMPETENT for each in progress)


def _progress(
    exercise: Exercise, counts: _Counts | None, signed: _Signed | None
) -> ExerciseProgress:
    by, at = signed or (None, None)
    return ExerciseProgress(exercise, **(counts or {}), signed_by=by, signed_at=at)


def _own(enrolments: Sequence[Enrolment]) -> QuerySet[Coupon]:
    """Return the coupons of students, along the index that starts with the section."""
    sections, keys = {each.section_id for each in enrolments}, [each.pk for each in enrolments]
    return Coupon.objects.filter(section__in=sections, enrolment__in=keys).exclude(
        state=Coupon.State.WITHDRAWN
    )


def _recount(tries: Sequence[Tried]) -> _Counts:
    """Count the coupons of one student in one exercise."""
    found = [each.state for each in tries]
    good = found.count(Coupon.State.ACCEPTED)
    unsafe = [each.state for each in tries if each.unsafe]
    return {
        "logged": len(found),
        "good": good,
        "waiting": _undecided(found),
        "safety_open": _undecided(unsafe) if unsafe else 0,
        "in_a_row": _longest_run(found) if good else 0,
    }


def _undecided(found: Sequence[str]) -> int:
    return sum(map(found.count, UNDECIDED))


def _longest_run(found: Iterable[str]) -> int:
    graded = (each for each in found if each not in UNDECIDED)
    return max(sum(1 for _each in run) for good, run in groupby(graded, _is_good) if good)


def _is_good(state: str) -> bool:
    return state == Coupon.State.ACCEPTED


def _counts(own: QuerySet[Coupon], exercises: list[Exercise]) -> dict[_Key, _Counts]:
    """Count coupons by enrolment and exercise."""
    undecided = Q(state__in=UNDECIDED)
    rows = (
        own.order_by()
        .values_list("enrolment_id", "exercise_id")
        .annotate(
            logged=Count("pk"),
            good=Count("pk", filter=Q(state=Coupon.State.ACCEPTED)),
            waiting=Count("pk", filter=undecided),
            safety_open=Count("pk", filter=undecided & Q(assessment__safety_stops__gt=0)),
        )
    )
    in_a_row = _in_a_row(own, exercises)
    return {
        (enrolment, exercise): {
            "logged": logged,
            "good": good,
            "waiting": waiting,
            "safety_open": safety_open,
            "in_a_row": in_a_row.get((enrolment, exercise), min(good, 1)),
        }
        for enrolment, exercise, logged, good, waiting, safety_open in rows
    }


def _in_a_row(own: QuerySet[Coupon], exercises: list[Exercise]) -> dict[_Key, int]:
    """Return the longest run of good coupons where an exercise asks for more than one in a row."""
    asked = [each.pk for each in exercises if each.in_a_row_wanted > 1]
    if not asked:
        return {}
    graded = own.filter(exercise__in=asked).exclude(state__in=UNDECIDED)
    longest: dict[_Key, int] = {}
    running: dict[_Key, int] = {}
    rows = graded.order_by("handed_in_at", "pk").values_list("enrolment_id", "exercise_id", "state")
    for enrolment, exercise, state_of_coupon in rows:
        key = (enrolment, exercise)
        good = state_of_coupon == Coupon.State.ACCEPTED
        running[key] = running.get(key, 0) + 1 if good else 0
        longest[key] = max(longest.get(key, 0), running[key])
    return longest


def _tested(own: QuerySet[Coupon], exercises: list[Exercise]) -> set[_Key]:
    """Return where a good coupon passed the check test that its exercise asks for."""
    asked = [each.pk for each in exercises if each.check_test]
    if not asked:
        return set()
    good = check_tests.passed(own.filter(exercise__in=asked, state=Coupon.State.ACCEPTED))
    return set(good.order_by().values_list("enrolment_id", "exercise_id"))


def _sign_offs(enrolments: Sequence[Enrolment]) -> dict[_Key, _Signed]:
    """Return who signed what and when; of the signers no more is read than their names."""
    keys = [each.pk for each in enrolments]
    rows = SignOff.objects.filter(enrolment__in=keys).order_by()
    signers: dict[int, User] = {}
    found = {}
    for enrolment, exercise, at, by, *names in rows.values_list(
        "enrolment_id", "exercise_id", "signed_at", "signed_by_id", *SIGNER
    ):
        if by not in signers:
            signers[by] = User(pk=by, **dict(zip(NAMES, names, strict=True)))
        found[enrolment, exercise] = (signers[by], at)
    return found
