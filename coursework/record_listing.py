"""What a term record lists of each coupon: its line, comments, check tests, statements."""

from collections.abc import Iterator, Mapping

from django.utils.translation import gettext as _

from coursework import corrections
from coursework.models import (
    CheckResult,
    CorrectionRequest,
    Coupon,
    CouponFacts,
    Enrolment,
    Grade,
    Run,
)
from coursework.record import CheckTestLine, Comment, Correction, CouponLine
from coursework.record_figures import rounded, value_of
from coursework.record_log import Log, of_safety

UNDECIDED = (Coupon.State.HANDED_IN, Coupon.State.HELD)


def coupon_lines(log: Log) -> Iterator[CouponLine]:
    """Return a line for every coupon; of a held grade nothing is said. Costs one query."""
    earlier = _earlier_levels(log.enrolment)
    for coupon in log.coupons:
        yield _line(log, coupon, earlier.get(coupon.pk, {}))


def comments(log: Log) -> Iterator[Comment]:
    """Return what instructors wrote of graded coupons, oldest coupon first."""
    for coupon in log.coupons:
        grade = coupon.grade if coupon.is_graded else None
        if grade and grade.comment.strip():
            yield Comment(
                coupon=coupon.number,
                exercise=str(coupon.exercise),
                written_at=grade.graded_at,
                written_by=log.graders[grade.grader_id].name,
                text=grade.comment.strip(),
                repeat=grade.repeat.strip(),
            )


def check_tests(log: Log) -> Iterator[CheckTestLine]:
    """Return every check test of graded coupons, those done again too. Costs one query."""
    graded = {each.pk: each for each in log.coupons if each.is_graded}
    found = CheckResult.objects.filter(coupon__in=graded).select_related("tested_by")
    for each in found.order_by("coupon__handed_in_at", "coupon_id", "number"):
        coupon = graded[each.coupon_id]
        yield CheckTestLine(
            coupon=coupon.number,
            exercise=str(coupon.exercise),
            kind=each.kind,
            passed=each.passed,
            largest_opening_mm=each.largest_opening_mm,
            note=each.note,
            tested_by=str(each.tested_by),
            tested_at=each.tested_at,
        )


def statements(log: Log) -> tuple[Correction, ...]:
    """Return what the student states beside the record. Costs one query."""
    return corrections.statements_of(log.enrolment)


def open_requests(log: Log) -> list[str]:
    """Return what the corrections are about that nobody has decided yet. Costs one query."""
    undecided = log.enrolment.correction_requests.filter(decision=CorrectionRequest.Decision.OPEN)
    return list(undecided.order_by("asked_at", "pk").values_list("about", flat=True))


def arc_time_s(coupon: Coupon) -> float | None:
    """Return the time with the arc lit [s] over all runs, or None where a run does not tell it."""
    times = [_time_of_runs(each) for each in coupon.facts.runs.all()] if coupon.facts else []
    told = [each for each in times if each is not None]
    return rounded(sum(told)) if told and len(told) == len(times) else None


def _time_of_runs(run: Run) -> float | None:
    """Return the arc time of like runs [s], as logged or from length and travel speed."""
    one = run.arc_time_s
    if one is None and run.weld_length_mm and run.travel_speed_mm_s:
        one = run.weld_length_mm / run.travel_speed_mm_s
    return one * run.count if one else None


def _earlier_levels(enrolment: Enrolment) -> dict[int, dict[int, int]]:
    """Return by coupon the level of each grade that was not taken back, by its number."""
    levels: dict[int, dict[int, int]] = {}
    for coupon, number, level in (
        Grade.objects.filter(coupon__enrolment=enrolment, undone_at=None)
        .order_by("coupon_id", "number")
        .values_list("coupon_id", "number", "level")
    ):
        levels.setdefault(coupon, {})[number] = level
    return levels


def _line(log: Log, coupon: Coupon, levels: Mapping[int, int]) -> CouponLine:
    assessment, facts = coupon.assessment, coupon.facts
    grade = coupon.grade if coupon.is_graded else None
    return CouponLine(
        number=coupon.number,
        handed_in_at=coupon.handed_in_at,
        exercise=str(coupon.exercise),
        metal=_metal(facts),
        filler=(facts.filler_designation or facts.filler_answer) if facts else "",
        travel_speed_mm_s=value_of(coupon, "travel_speed_mm_s"),
        arc_energy_kj_mm=value_of(coupon, "arc_energy_kj_mm"),
        heat_input_kj_mm=value_of(coupon, "heat_input_kj_mm"),
        stops=assessment.stops if assessment else 0,
        warns=assessment.warns if assessment else 0,
        level=grade.level if grade else None,
        graded_by=log.graders[grade.grader_id].initials if grade else "",
        graded_at=grade.graded_at if grade else None,
        logged_by=str(coupon.logged_by or ""),
        state="waiting" if coupon.state in UNDECIDED else coupon.state,
        predicted_level=coupon.predicted_level,
        arc_time_s=arc_time_s(coupon),
        thermal_efficiency=assessment.figures.get("thermal_efficiency") if assessment else None,
        in_figures=log.is_sound(coupon),
        safety_stops=sum(map(of_safety, log.found(coupon))),
        imperfections=_seen(facts),
        earlier_levels=_before(grade, levels),
        rules_edition=assessment.edition if assessment else "",
        rubric_version=str(grade.rubric_version) if grade else "",
    )


def _metal(facts: CouponFacts | None) -> str:
    metals = facts.base_metals.all() if facts else ()
    return _(" to ").join(dict.fromkeys(str(each) for each in metals))


def _seen(facts: CouponFacts | None) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each.number for each in facts.imperfections.all())) if facts else ()


def _before(grade: Grade | None, levels: Mapping[int, int]) -> tuple[int, ...]:
    if grade is None:
        return ()
    return tuple(level for number, level in levels.items() if number < grade.number)
