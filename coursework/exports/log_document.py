"""A coupon log as JSON: of a section, or of one student in every section that they were in.

``tests/contract/coupon_log.schema.json`` describes it. Times are in UTC, units in the names. It is
written coupon by coupon, a line each, so that memory does not grow with the log.
"""

from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

from coursework import sourced_ids
from coursework.export_writing import canonical
from coursework.exports.coupon_rows import known_tests, note
from coursework.exports.student_rows import Student
from coursework.models import CheckResult, CorrectionRequest, Coupon, Finding, Grade, School
from coursework.progress import ExerciseProgress
from coursework.wording import sentence

SCHEMA_VERSION: Final = 1

type Members = dict[str, Any]


def write_log(
    school: School, students: Iterable[Student], coupons: Iterable[Coupon], to: Path
) -> None:
    """Write a coupon log.

    Parameters
    ----------
    school : School
        With its settings at hand.
    students : iterable of Student
        Whose coupons they are.
    coupons : iterable of Coupon
        As ``reading.whole`` gives them.
    to : Path
        Where to write.
    """
    head = _head(school, list(students))
    # A lone half of a surrogate pair has no UTF-8; as an escape it is still JSON.
    with to.open("w", encoding="utf-8", errors="backslashreplace", newline="\n") as out:
        out.write(canonical(head)[:-1] + ', "coupons": [')
        between = "\n"
        for each in coupons:
            out.write(between + canonical(_coupon(school, each)))
            between = ",\n"
        out.write("\n]}\n")


def _head(school: School, students: list[Student]) -> Members:
    return {
        "schema_version": SCHEMA_VERSION,
        "note": note(),
        "school": school.name,
        "time_zone": school.settings.time_zone,
        "enrolments": [_enrolment(school, each) for each in students],
    }


def _enrolment(school: School, student: Student) -> Members:
    enrolment = student.enrolment
    section, user = enrolment.section, enrolment.user
    return {
        "id": sourced_ids.of(school, "enrolment", enrolment.pk),
        "student_id": sourced_ids.of_person(school, user),
        "student": str(user),
        "student_number": user.student_number,
        "section_id": sourced_ids.of_section(section),
        "section": section.name,
        "course_code": section.plan.code,
        "course_title": section.plan.title,
        "term": section.term.name,
        "term_starts_on": section.term.starts_on,
        "term_ends_on": section.term.ends_on,
        "joined_at": enrolment.joined_at,
        "left_at": enrolment.left_at,
        "newest_record": student.issued.code if student.issued else None,
        "exercises": [_exercise(school, each) for each in student.exercises],
        "statements": [_statement(each) for each in student.requests],
    }


def _exercise(school: School, found: ExerciseProgress) -> Members:
    return {
        "id": sourced_ids.of(school, "exercise", found.exercise.pk),
        "number": found.exercise.place,
        "title": found.exercise.title,
        "state": found.state.name.lower(),
        "coupons_logged": found.logged,
        "coupons_good": found.good,
        "good_coupons_wanted": found.wanted,
        "coupons_waiting": found.waiting,
        "signed_by": str(found.signed_by or ""),
        "signed_at": found.signed_at,
    }


def _statement(request: CorrectionRequest) -> Members:
    members = ("about", "asked_at", "what", "reason", "statement", "stated_at")
    return {name: getattr(request, name) for name in members}


def _coupon(school: School, coupon: Coupon) -> Members:
    facts, assessment = coupon.facts, coupon.assessment
    held = coupon.state == Coupon.State.HELD
    return {
        "id": str(coupon.public_id),
        "enrolment_id": sourced_ids.of(school, "enrolment", coupon.enrolment_id),
        "exercise_id": sourced_ids.of(school, "exercise", coupon.exercise_id),
        "exercise": str(coupon.exercise),
        "number": coupon.number,
        "state": Coupon.State.HANDED_IN.value if held else coupon.state,
        "handed_in_at": coupon.handed_in_at,
        "logged_by": str(coupon.logged_by or ""),
        "corrections": facts.number - 1 if facts else 0,
        "predicted_level": coupon.predicted_level,
        "stated": facts.document() if facts else None,
        "remark": facts.reason if facts else "",
        "rules_edition": assessment.edition if assessment else "",
        "figures": assessment.figures if assessment else {},
        "findings": [_finding(each) for each in assessment.findings.all()] if assessment else [],
        "grades": [_grade(each) for each in coupon.grades.all()],
        "check_tests": [_check_test(each) for each in known_tests(coupon)],
    }


def _finding(finding: Finding) -> Members:
    return {
        "rule": finding.rule,
        "severity": finding.severity,
        "says": sentence(finding),
        "source": finding.source,
    }


def _grade(grade: Grade) -> Members:
    members = ("number", "decision", "level", "capped_by", "comment", "repeat", "reason")
    return {name: getattr(grade, name) for name in members} | {
        "weighted": grade.weighted,
        "graded_by": str(grade.grader),
        "graded_at": grade.graded_at,
        "rubric": str(grade.rubric_version),
        "scores": [
            {"criterion": each.criterion.title, "level": each.level} for each in grade.scores.all()
        ],
    }


def _check_test(result: CheckResult) -> Members:
    members = ("number", "kind", "passed", "largest_opening_mm", "note", "tested_at")
    return {name: getattr(result, name) for name in members} | {"tested_by": str(result.tested_by)}
