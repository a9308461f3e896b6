"""What a student's whole file says, as plain values: of them, of a section, of a coupon."""

from typing import Any

from django.forms.models import model_to_dict

from coursework.models import (
    Assessment,
    CheckResult,
    Coupon,
    CouponFacts,
    Enrolment,
    Finding,
    Grade,
    User,
)

type Row = dict[str, Any]


def student_row(student: User) -> Row:
    """Return who the student is and how they sign in."""
    return {
        "name": str(student),
        "first_name": student.first_name,
        "last_name": student.last_name,
        "username": student.username,
        "email": student.email,
        "student_number": student.student_number,
        "source_id": student.source_id,
        "school": student.school.name if student.school else "",
        "account_since": student.date_joined,
        "last_sign_in_at": student.last_login,
    }


def place_row(place: Enrolment) -> Row:
    """Return when the student was in a section, moves, sign-offs and requests for corrections."""
    section = place.section
    return {
        "course": f"{section.plan.code} {section.plan.title}",
        "section": section.name,
        "term": section.term.name,
        "term_starts_on": section.term.starts_on,
        "term_ends_on": section.term.ends_on,
        "joined_at": place.joined_at,
        "left_at": place.left_at,
        "waits_for_approval": place.waits_for_approval,
        "moves": [
            {
                "from_section": str(each.from_section),
                "to_section": str(each.to_section),
                "moved_by": str(each.moved_by),
                "moved_at": each.moved_at,
                "reason": each.reason,
            }
            for each in place.moves.select_related(
                "from_section__plan", "to_section__plan", "moved_by"
            )
        ],
        "sign_offs": [
            {
                "exercise": str(each.exercise),
                "signed_by": str(each.signed_by),
                "signed_at": each.signed_at,
            }
            for each in place.sign_offs.select_related("exercise", "signed_by").order_by(
                "exercise__place", "pk"
            )
        ],
        "disclosures": [
            {
                "what": each.what,
                "to": each.to,
                "why": each.why,
                "note": each.note,
                "disclosed_by": str(each.disclosed_by),
                "disclosed_at": each.disclosed_at,
            }
            for each in place.disclosures.select_related("disclosed_by").order_by(
                "disclosed_at", "pk"
            )
        ],
        "correction_requests": [
            {
                "about": each.about,
                "what": each.what,
                "asked_at": each.asked_at,
                "decision": each.decision,
                "reason": each.reason,
                "decided_by": str(each.decided_by or ""),
                "decided_at": each.decided_at,
                "statement": each.statement,
                "stated_at": each.stated_at,
            }
            for each in place.correction_requests.select_related("decided_by")
        ],
    }


def coupon_row(coupon: Coupon) -> Row:
    """Return a coupon as its student may see it: all that was stated, found, graded and tested."""
    held = coupon.state == Coupon.State.HELD
    return {
        "number": coupon.number,
        "exercise": str(coupon.exercise),
        "section": str(coupon.section),
        "state": Coupon.State.HANDED_IN.value if held else coupon.state,
        "handed_in_at": coupon.handed_in_at,
        "logged_by": str(coupon.logged_by or ""),
        "predicted_level": coupon.predicted_level,
        "stated": [_stated(each) for each in coupon.all_facts.all()],
        "grades": [_grade(each) for each in coupon.grades.all()],
        "check_tests": [] if held else [_check_test(each) for each in coupon.check_results.all()],
    }


def _stated(facts: CouponFacts) -> Row:
    return {
        "number": facts.number,
        "stated_by": str(facts.stated_by),
        "stated_at": facts.stated_at,
        "typed": facts.typed,
        "arc_time_timed": facts.arc_time_timed,
        "reason": facts.reason,
        "facts": facts.document(),
        "assessments": [_assessment(each) for each in facts.assessments.all()],
    }


def _assessment(assessment: Assessment) -> Row:
    members = ("edition", "assessed_at", "figures", "causes", "acceptance", "not_assessed")
    rest = ("cautions", "next_try")
    return {name: getattr(assessment, name) for name in members + rest} | {
        "findings": [_finding(each) for each in assessment.findings.all()]
    }


def _finding(finding: Finding) -> Row:
    return model_to_dict(finding, exclude=["id", "assessment", "place"])


def _grade(grade: Grade) -> Row:
    members = ("number", "graded_at", "released_at", "undone_at", "decision", "level", "weighted")
    words = ("capped_by", "comment", "reason", "repeat")
    return {name: getattr(grade, name) for name in members + words} | {
        "graded_by": str(grade.grader),
        "rubric": str(grade.rubric_version),
        "scores": [
            {"criterion": each.criterion.title, "level": each.level} for each in grade.scores.all()
        ],
    }


def _check_test(result: CheckResult) -> Row:
    members = ("number", "kind", "passed", "largest_opening_mm", "note", "tested_at")
    return {name: getattr(result, name) for name in members} | {"tested_by": str(result.tested_by)}
