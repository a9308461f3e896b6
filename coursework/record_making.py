"""A student's term record, made from the tables. It costs eight queries, whatever the coupons."""

import zoneinfo
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coursework.assess import CLEANING_ORDER_RULES, SAFETY_STOP
from coursework.models import Coupon, CouponFacts, Enrolment, Finding, Grade, TargetWindow
from coursework.progress import ExerciseProgress, State, states_of
from coursework.record import (
    SCHEMA_VERSION,
    Comment,
    CouponLine,
    ExerciseLine,
    Grader,
    ImperfectionFading,
    Imperfections,
    Issue,
    Prediction,
    TermRecord,
    WeekShare,
)
from coursework.record_figures import (
    Week,
    Windows,
    by_week,
    figures_in_window,
    figures_of,
    rounded,
    share,
    value_of,
)
from coursework.wording import imperfection

# An entry that can hardly be meant, by its rule and severity.
ENTRY_STOP = Q(rule__startswith="entry-", severity=Finding.Severity.STOP)

type Graders = dict[int, Grader]
type Rules = Mapping[int | None, Collection[str]]


def term_record(enrolment: Enrolment, issue: Issue | None = None) -> TermRecord:
    """Return the term record of a student as the tables stand now.

    A withdrawn coupon counts nowhere. Figures, cleaning and imperfections are taken over all
    other coupons, good or not: they show the practice, not the best of it. Only a coupon with an
    entry that can hardly be meant is in no figure: one slip of a unit would swamp the rest.

    Parameters
    ----------
    enrolment : Enrolment
        With its user, section, term, school and settings at hand, as ``access`` gives it.
    issue : Issue or None
        By whom and when it is issued; None for a preview.
    """
    section, term = enrolment.section, enrolment.section.term
    coupons, windows = _coupons(enrolment), _windows(enrolment)
    broken = _broken(coupons)
    sound = [each for each in coupons if not _in_doubt(broken.get(each.assessment_id, ()))]
    graders = _graders(coupons)
    week = _week_in(enrolment)
    progress = states_of(enrolment)
    return TermRecord(
        schema_version=SCHEMA_VERSION,
        issue=issue,
        school=term.school.name,
        time_zone=term.school.settings.time_zone,
        course_code=section.plan.code,
        course_title=section.plan.title,
        section=section.name,
        term=term.name,
        term_starts_on=term.starts_on,
        term_ends_on=term.ends_on,
        student=str(enrolment.user),
        student_number=enrolment.user.student_number,
        exercises=tuple(_exercise(each, coupons, sound, windows) for each in progress),
        coupons=tuple(_coupons_that_count(coupons, graders)),
        in_window=figures_in_window(sound, windows, week),
        cleaning_in_order=_cleaning_in_order(coupons, broken, week),
        imperfections=_imperfections(coupons),
        prediction=_prediction(coupons, week),
        comments=tuple(_comments(coupons, graders)),
        graders=tuple(graders.values()),
        rule_editions=_distinct(each.assessment.edition for each in coupons if each.assessment),
        rubric_versions=_distinct(str(each.rubric_version) for each in _grades(coupons)),
        missing=tuple(_missing(enrolment, coupons, progress)),
        left_out_of_figures=len(coupons) - len(sound),
    )


def _coupons(enrolment: Enrolment) -> list[Coupon]:
    """Return the coupons that count, oldest first."""
    return list(
        Coupon.objects.filter(enrolment=enrolment)
        .exclude(state=Coupon.State.WITHDRAWN)
        .select_related(
            "exercise",
            "facts",
            "assessment",
            "logged_by",
            "grade__grader",
            "grade__rubric_version__rubric",
        )
        .prefetch_related("facts__base_metals", "facts__imperfections")
        .order_by("handed_in_at", "pk")
    )


def _broken(coupons: Sequence[Coupon]) -> Rules:
    """Return by assessment what it found of cleaning order, safety stops and stops of an entry."""
    found: dict[int | None, set[str]] = {}
    for assessment, rule in Finding.objects.filter(
        Q(rule__in=CLEANING_ORDER_RULES) | SAFETY_STOP | ENTRY_STOP,
        assessment__in=[each.assessment_id for each in coupons],
    ).values_list("assessment_id", "rule"):
        found.setdefault(assessment, set()).add(rule)
    return found


def _in_doubt(rules: Collection[str]) -> bool:
    return any(map(_of_an_entry, rules))


def _of_an_entry(rule: str) -> bool:
    return rule.startswith("entry-")


def _windows(enrolment: Enrolment) -> Windows:
    found = TargetWindow.objects.filter(exercise__plan=enrolment.section.plan_id)
    return {(each.exercise_id, each.figure): (each.low, each.high) for each in found}


def _week_in(enrolment: Enrolment) -> Week:
    """Return what tells the week of the term in which a coupon was handed in."""
    term = enrolment.section.term
    zone = zoneinfo.ZoneInfo(term.school.settings.time_zone)
    return lambda coupon: term.week(coupon.handed_in_at.astimezone(zone).date())


def _grades(coupons: Iterable[Coupon]) -> list[Grade]:
    return [each.grade for each in coupons if each.grade and each.is_graded]


def _distinct(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted(set(words)))


def _graders(coupons: Sequence[Coupon]) -> Graders:
    """Return who graded, with initials that nobody shares: a second RH becomes RH2."""
    people = {grade.grader_id: grade.grader for grade in _grades(coupons)}
    seen: Counter[str] = Counter()
    graders = {}
    for pk, user in sorted(people.items()):
        seen[user.initials] += 1
        again = seen[user.initials]
        graders[pk] = Grader(user.initials + (str(again) if again > 1 else ""), str(user))
    return graders


def _exercise(
    progress: ExerciseProgress,
    coupons: Sequence[Coupon],
    sound: Sequence[Coupon],
    windows: Windows,
) -> ExerciseLine:
    exercise = progress.exercise
    own = [each for each in coupons if each.exercise_id == exercise.pk]
    levels = [grade.level for grade in _grades(own)]
    return ExerciseLine(
        place=exercise.place,
        title=exercise.title,
        process=exercise.process,
        joint=exercise.joint,
        position=exercise.position,
        metal=exercise.metal,
        thickness_mm=exercise.thickness_mm,
        filler=exercise.filler,
        state=int(progress.state),
        logged=progress.logged,
        good=progress.good,
        wanted=progress.wanted,
        waiting=progress.waiting,
        best_level=max(levels, default=None),
        last_level=levels[-1] if levels else None,
        last_handed_in_at=own[-1].handed_in_at if own else None,
        signed_by=str(progress.signed_by or ""),
        signed_at=progress.signed_at,
        figures=figures_of([each for each in own if each in sound], windows),
    )


def _coupons_that_count(coupons: Sequence[Coupon], graders: Graders) -> Iterator[CouponLine]:
    for coupon in coupons:
        if coupon.state == Coupon.State.ACCEPTED and coupon.facts and coupon.grade:
            yield _coupon(coupon, coupon.facts, coupon.grade, graders)


def _coupon(coupon: Coupon, facts: CouponFacts, grade: Grade, graders: Graders) -> CouponLine:
    assessment = coupon.assessment
    return CouponLine(
        number=coupon.number,
        handed_in_at=coupon.handed_in_at,
        exercise=str(coupon.exercise),
        metal=_(" to ").join(dict.fromkeys(str(each) for each in facts.base_metals.all())),
        filler=facts.filler_designation or facts.filler_answer,
        travel_speed_mm_s=value_of(coupon, "travel_speed_mm_s"),
        arc_energy_kj_mm=value_of(coupon, "arc_energy_kj_mm"),
        heat_input_kj_mm=value_of(coupon, "heat_input_kj_mm"),
        stops=assessment.stops if assessment else 0,
        warns=assessment.warns if assessment else 0,
        level=grade.level,
        graded_by=graders[grade.grader_id].initials,
        graded_at=grade.graded_at,
        logged_by=str(coupon.logged_by or ""),
    )


def _cleaning_in_order(
    coupons: Sequence[Coupon], broken: Rules, week: Week
) -> tuple[WeekShare, ...]:
    """Return by week how many of the coupons that say how they were cleaned break no order rule.

    What had a safety stop was not in order, whatever the order of its steps.
    """
    asked = [each for each in coupons if each.facts and each.facts.cleaning_asked]
    return by_week(
        (week(each), all(map(_of_an_entry, broken.get(each.assessment_id, ())))) for each in asked
    )


def _imperfections(coupons: Sequence[Coupon]) -> Imperfections:
    """Count coupons by imperfection; of an odd number the middle one is in the second half."""
    looked_at = [
        {each.number for each in coupon.facts.imperfections.all()}
        for coupon in coupons
        if coupon.facts and coupon.facts.imperfections_asked
    ]
    half = len(looked_at) // 2
    first = Counter(number for seen in looked_at[:half] for number in seen)
    second = Counter(number for seen in looked_at[half:] for number in seen)
    both = first + second
    return Imperfections(
        first_half_coupons=half,
        second_half_coupons=len(looked_at) - half,
        seen=tuple(
            ImperfectionFading(number, imperfection(number)["name"], first[number], second[number])
            for number in sorted(both, key=lambda number: (-both[number], number))
        ),
    )


def _prediction(coupons: Sequence[Coupon], week: Week) -> Prediction:
    """Compare the student's own level with the one given, over graded coupons that have both."""
    off = [
        (coupon, coupon.predicted_level - coupon.grade.level)
        for coupon in coupons
        if coupon.is_graded and coupon.grade and coupon.predicted_level is not None
    ]
    near = [(coupon, abs(difference) <= 1) for coupon, difference in off]
    return Prediction(
        same=share([difference == 0 for _coupon, difference in off]),
        within_one=share([yes for _coupon, yes in near]),
        mean_difference=rounded(sum(each for _coupon, each in off) / len(off)) if off else None,
        by_week=by_week((week(coupon), yes) for coupon, yes in near),
    )


def _comments(coupons: Iterable[Coupon], graders: Graders) -> Iterator[Comment]:
    for coupon in coupons:
        if coupon.is_graded and coupon.grade and coupon.grade.comment.strip():
            yield Comment(
                coupon=coupon.number,
                exercise=str(coupon.exercise),
                written_at=coupon.grade.graded_at,
                written_by=graders[coupon.grade.grader_id].name,
                text=coupon.grade.comment.strip(),
            )


def _missing(
    enrolment: Enrolment, coupons: Iterable[Coupon], progress: Sequence[ExerciseProgress]
) -> Iterator[str]:
    """Say in plain words what is still open in the record."""
    if not enrolment.user.student_number:
        yield _("The student has no student number.")
    if waiting := [str(each.number) for each in coupons if not each.is_graded]:
        said = ngettext(
            "Coupon %(numbers)s waits for a grade.",
            "Coupons %(numbers)s wait for a grade.",
            len(waiting),
        )
        yield said % {"numbers": ", ".join(waiting)}
    for each in progress:
        if each.state not in {State.NOT_STARTED, State.COMPETENT}:
            yield _("%(exercise)s wants %(missing)s.") % {
                "exercise": each.exercise,
                "missing": each.missing,
            }
    if idle := [str(each.exercise) for each in progress if each.state == State.NOT_STARTED]:
        yield _("Not started: %(exercises)s.") % {"exercises": "; ".join(idle)}
