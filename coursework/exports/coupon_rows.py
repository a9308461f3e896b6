"""Coupons, and what is known of them, as rows of tables; the columns are in ``columns``."""

from collections.abc import Iterable, Iterator
from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from coursework.exports.reading import is_held
from coursework.models import (
    Assessment,
    CheckResult,
    CorrectionRequest,
    Coupon,
    CouponFacts,
    Finding,
    Grade,
)
from coursework.models.facts import Document
from coursework.wording import sentence

type Cells = dict[str, object]

FACTS = (
    "process",
    "joint",
    "weld",
    "position",
    "polarity",
    "shielding_gas",
    "gas_flow_l_min",
    "preheat_c",
    "minutes_since_cleaning",
)
OF_THE_FIRST_RUN = ("current_a", "voltage_v", "wire_feed_mm_s", "weld_length_mm", "arc_time_s")


def note() -> str:
    """Say what every file says that practice coupons are in."""
    return _("Training record of practice coupons; not a welder qualification.")


def at_school(at: datetime | None, zone: ZoneInfo) -> datetime | None:
    """Return a time by the clock of the school, as spreadsheets hold it: without its zone."""
    return at.astimezone(zone).replace(tzinfo=None) if at else None


def coupon_row(coupon: Coupon, zone: ZoneInfo) -> Cells:
    """Return a coupon as a row."""
    section = coupon.section
    return (
        {"term": section.term.name, "course": str(section.plan), "section": section.name}
        | _which(coupon)
        | {
            "coupon_id": str(coupon.public_id),
            "state": coupon.get_state_display(),
            "handed_in_at": at_school(coupon.handed_in_at, zone),
            "logged_by": str(coupon.logged_by or ""),
            "predicted_level": coupon.predicted_level,
            "statement": statements(coupon.correction_requests.all()),
            "time_zone": zone.key,
            "note": note(),
        }
        | _stated(coupon.facts)
        | _found(coupon.assessment)
        | _graded(current_grade(coupon), zone)
    )


def finding_rows(coupon: Coupon) -> Iterator[Cells]:
    """Yield what the rules found."""
    if (assessment := coupon.assessment) is not None:
        for finding in assessment.findings.all():
            yield _which(coupon) | _finding(finding) | {"rules_edition": assessment.edition}


def grade_rows(coupon: Coupon, zone: ZoneInfo) -> Iterator[Cells]:
    """Yield the grades, the first one first."""
    for grade in coupon.grades.all():
        yield _which(coupon) | {
            "grade": grade.number,
            "decision": grade.get_decision_display(),
            "level": grade.level,
            "weighted": float(grade.weighted),
            "capped_by": grade.capped_by,
            "comment": grade.comment,
            "repeat": grade.repeat,
            "reason": grade.reason,
            "graded_by": str(grade.grader),
            "graded_at": at_school(grade.graded_at, zone),
            "rubric": str(grade.rubric_version),
        }


def score_rows(coupon: Coupon) -> Iterator[Cells]:
    """Yield the levels that the criteria were given, grade by grade."""
    for grade in coupon.grades.all():
        for score in grade.scores.all():
            of = {"grade": grade.number, "criterion": score.criterion.title}
            yield _which(coupon) | of | {"level": score.level}


def check_test_rows(coupon: Coupon, zone: ZoneInfo) -> Iterator[Cells]:
    """Yield the check tests, the first one first."""
    for result in known_tests(coupon):
        yield _which(coupon) | {
            "test": result.number,
            "kind": result.kind,
            "passed": result.passed,
            "largest_opening_mm": result.largest_opening_mm,
            "showed": result.note,
            "tested_by": str(result.tested_by),
            "tested_at": at_school(result.tested_at, zone),
        }


def current_grade(coupon: Coupon) -> Grade | None:
    """Return the grade that counts, where the student knows of one."""
    return next((each for each in coupon.grades.all() if each.pk == coupon.grade_id), None)


def known_tests(coupon: Coupon) -> list[CheckResult]:
    """Return the check tests that the student knows of: none while a grade is held."""
    return [] if is_held(coupon) else list(coupon.check_results.all())


def statements(requests: Iterable[CorrectionRequest]) -> str:
    """Return the statements that go with what they are about, a line each."""
    return "\n".join(each.statement for each in requests if each.stated_at)


def _which(coupon: Coupon) -> Cells:
    user = coupon.enrolment.user
    return {
        "student": str(user),
        "student_number": user.student_number,
        "coupon": coupon.number,
        "exercise_number": coupon.exercise.place,
        "exercise": coupon.exercise.title,
    }


def _stated(facts: CouponFacts | None) -> Cells:
    document: Document = facts.document() if facts else {}
    run = document.get("run_list", [document])[0]
    return (
        {name: document.get(name) for name in FACTS}
        | {name: run.get(name) for name in OF_THE_FIRST_RUN}
        | _metals(document)
        | _filler(document)
        | {
            "corrections": facts.number - 1 if facts else 0,
            "runs": len(document["run_list"]) if "run_list" in document else document.get("runs"),
            "cleaning_steps": ", ".join(each["step"] for each in document.get("cleaning", ())),
            "imperfections": ", ".join(
                each["number"] for each in document.get("imperfections", ())
            ),
            "remark": facts.reason if facts else "",
        }
    )


def _metals(document: Document) -> Cells:
    metals = [*document.get("base_metals", ()), {}, {}][:2]
    return {
        name: value
        for n, metal in enumerate(metals, start=1)
        for name, value in (
            (f"base_metal_{n}", "-".join(metal[k] for k in ("alloy", "temper") if k in metal)),
            (f"thickness_{n}_mm", metal.get("thickness_mm")),
        )
    }


def _filler(document: Document) -> Cells:
    used = document.get("filler") or {}
    without = "none" if "filler" in document else ""
    return {
        "filler": used.get("designation", without),
        "filler_diameter_mm": used.get("diameter_mm"),
    }


def _found(assessment: Assessment | None) -> Cells:
    return {
        "travel_speed_mm_s": assessment.travel_speed_mm_s if assessment else None,
        "arc_energy_kj_mm": assessment.arc_energy_kj_mm if assessment else None,
        "heat_input_kj_mm": assessment.heat_input_kj_mm if assessment else None,
        "stops": assessment.stops if assessment else None,
        "safety_stops": assessment.safety_stops if assessment else None,
        "warnings": assessment.warns if assessment else None,
        "rules_edition": assessment.edition if assessment else "",
    }


def _finding(finding: Finding) -> Cells:
    return {
        "severity": finding.severity,
        "safety": finding.is_safety,
        "rule": finding.rule,
        "says": sentence(finding),
        "source": finding.source,
    }


def _graded(grade: Grade | None, zone: ZoneInfo) -> Cells:
    return {
        "level": grade.level if grade else None,
        "graded_by": str(grade.grader) if grade else "",
        "graded_at": at_school(grade.graded_at, zone) if grade else None,
        "comment": grade.comment if grade else "",
        "repeat": grade.repeat if grade else "",
    }
