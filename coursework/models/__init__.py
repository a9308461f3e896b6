"""Every table, one module a noun."""

from coursework.models.assessment import Assessment, Finding
from coursework.models.audit import Act, AuditRow
from coursework.models.correction import CorrectionRequest
from coursework.models.coupon import Coupon, Photo
from coursework.models.course import CoursePlan, Exercise, TargetWindow
from coursework.models.disclosure import Disclosure
from coursework.models.export import ExportFile
from coursework.models.facts import BaseMetal, CleaningStep, CouponFacts, Imperfection, Run
from coursework.models.grade import (
    CheckResult,
    Grade,
    Lease,
    Phrase,
    Score,
    SecondLook,
    SecondScore,
    SignOff,
)
from coursework.models.people import SignInCode, User
from coursework.models.record import IssuedRecord, IssuedSectionRecord
from coursework.models.retention import Hold, Purge
from coursework.models.rubric import Criterion, Level, Rubric, RubricVersion
from coursework.models.school import ConfirmedLimit, School, SchoolSettings, Term
from coursework.models.section import Enrolment, Section, SectionMove

__all__ = [
    "Act",
    "Assessment",
    "AuditRow",
    "BaseMetal",
    "CheckResult",
    "CleaningStep",
    "ConfirmedLimit",
    "CorrectionRequest",
    "Coupon",
    "CouponFacts",
    "CoursePlan",
    "Criterion",
    "Disclosure",
    "Enrolment",
    "Exercise",
    "ExportFile",
    "Finding",
    "Grade",
    "Hold",
    "Imperfection",
    "IssuedRecord",
    "IssuedSectionRecord",
    "Lease",
    "Level",
    "Photo",
    "Phrase",
    "Purge",
    "Rubric",
    "RubricVersion",
    "Run",
    "School",
    "SchoolSettings",
    "Score",
    "SecondLook",
    "SecondScore",
    "Section",
    "SectionMove",
    "SignInCode",
    "SignOff",
    "TargetWindow",
    "Term",
    "User",
]
