"""A student's term record, made from the tables, in thirteen queries whatever the coupons."""

from collections.abc import Iterator, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coursework import record_habits, record_listing, record_log
from coursework.models import Coupon, Enrolment, Section, TargetWindow
from coursework.progress import ExerciseProgress, State, states_of
from coursework.record import SCHEMA_VERSION, ExerciseLine, Issue, TermRecord
from coursework.record_figures import Windows, figures_in_window, figures_of, rounded
from coursework.record_log import Log, distinct


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
    log, windows = record_log.read(enrolment), _windows(enrolment)
    progress = states_of(enrolment)
    return TermRecord(
        schema_version=SCHEMA_VERSION,
        issue=issue,
        **heading(enrolment.section),
        student=str(enrolment.user),
        student_number=enrolment.user.student_number,
        exercises=tuple(_exercise(each, log, windows) for each in progress),
        coupons=tuple(record_listing.coupon_lines(log)),
        in_window=figures_in_window(log.sound, windows, log.week),
        cleaning_in_order=record_habits.cleaning_in_order(log),
        imperfections=record_habits.imperfections(log),
        prediction=record_habits.prediction(log),
        comments=tuple(record_listing.comments(log)),
        graders=tuple(log.graders.values()),
        rule_editions=distinct(each.assessment.edition for each in log.coupons if each.assessment),
        rubric_versions=distinct(str(each.rubric_version) for each in log.grades(log.coupons)),
        missing=tuple(_missing(log, progress)),
        left_out_of_figures=len(log.coupons) - len(log.sound),
        withdrawn=log.withdrawn,
        safety=record_habits.safety(log),
        hours=record_habits.hours(log),
        check_tests=tuple(record_listing.check_tests(log)),
        corrections=record_listing.statements(log),
        notice=notice(),
    )


def heading(section: Section) -> dict[str, Any]:
    """Return the members that say of which school, course, section and term a record is.

    Parameters
    ----------
    section : Section
        With its plan, term, school and settings at hand.
    """
    term = section.term
    return {
        "school": term.school.name,
        "time_zone": term.school.settings.time_zone,
        "course_code": section.plan.code,
        "course_title": section.plan.title,
        "section": section.name,
        "term": term.name,
        "term_starts_on": term.starts_on,
        "term_ends_on": term.ends_on,
    }


def notice() -> str:
    """Return what every record says of itself, wherever it goes."""
    return _(
        "Training record. It lists practice coupons that a student made and an instructor looked "
        "at in class. It is not a welder qualification, certificate or license, and no code body "
        "or employer has approved it."
    )


def _windows(enrolment: Enrolment) -> Windows:
    found = TargetWindow.objects.filter(exercise__plan=enrolment.section.plan_id)
    return {(each.exercise_id, each.figure): (each.low, each.high) for each in found}


def _exercise(progress: ExerciseProgress, log: Log, windows: Windows) -> ExerciseLine:
    exercise = progress.exercise
    own = [each for each in log.coupons if each.exercise_id == exercise.pk]
    sound = [each for each in own if log.is_sound(each)]
    levels = [grade.level for grade in log.grades(own)]
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
        figures=figures_of(sound, windows),
        returned=sum(each.state == Coupon.State.RETURNED for each in own),
        in_a_row_wanted=exercise.in_a_row_wanted,
        in_a_row=progress.in_a_row if exercise.in_a_row_wanted > 1 else None,
        check_test=exercise.check_test,
        tested=progress.tested,
        safety_open=progress.safety_open,
        arc_time_s=_arc_time_s(sound),
        key=exercise.pk,
        retired=exercise.retired_at is not None,
    )


def _arc_time_s(coupons: Sequence[Coupon]) -> float | None:
    times = [time for each in coupons if (time := record_listing.arc_time_s(each)) is not None]
    return rounded(sum(times)) if times else None


def _missing(log: Log, progress: Sequence[ExerciseProgress]) -> Iterator[str]:
    """Say in plain words what is still open in the record."""
    if not log.enrolment.user.student_number:
        yield _("The student has no student number.")
    if waiting := [str(each.number) for each in log.coupons if not each.is_graded]:
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
    for about in record_listing.open_requests(log):
        yield _("A request for a correction waits for a decision: %(about)s.") % {"about": about}
