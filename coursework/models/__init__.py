"""Every table, one module a noun."""

from coursework.models.assessment import Assessment, Finding
from coursework.models.coupon import Coupon, Photo
from coursework.models.course import CoursePlan, Exercise, TargetWindow
from coursework.models.facts import BaseMetal, CleaningStep, CouponFacts, Imperfection, Run
from coursework.models.grade import Grade, Score, SignOff
from coursework.models.people import User
from coursework.models.record import IssuedRecord
from coursework.models.rubric import Criterion, Level, Rubric, RubricVersion
from coursework.models.school import School, SchoolSettings, Term
from coursework.models.section import Enrolment, Section

__all__ = [
    "Assessment",
    "BaseMetal",
    "CleaningStep",
    "Coupon",
    "CouponFacts",
    "CoursePlan",
    "Criterion",
    "Enrolment",
    "Exercise",
    "Finding",
    "Grade",
    "Imperfection",
    "IssuedRecord",
    "Level",
    "Photo",
    "Rubric",
    "RubricVersion",
    "Run",
    "School",
    "SchoolSettings",
    "Score",
    "Section",
    "SignOff",
    "TargetWindow",
    "Term",
    "User",
]
