"""What is past its time in a school, and what of it is held.

The time of photos, coupons and records runs from the last day of the term, or from the day on
which it was closed where that is later. A term that is open is never past its time.
"""

import calendar
from datetime import date, datetime, time
from enum import StrEnum
from typing import Any, Final

from django.db.models import Exists, OuterRef, QuerySet
from django.utils.translation import gettext_lazy

from coursework.models import (
    CorrectionRequest,
    Coupon,
    Enrolment,
    ExportFile,
    Hold,
    IssuedRecord,
    IssuedSectionRecord,
    Photo,
    School,
    SignInCode,
    Term,
)


class Kind(StrEnum):
    """What is removed, in the order in which it is."""

    PHOTOS = "photos"
    COUPONS = "coupons"
    RECORDS = "records"
    SECTION_RECORDS = "section_records"
    CODES = "codes"
    FILES = "files"


WORDS: Final = {
    Kind.PHOTOS: gettext_lazy("Photos"),
    Kind.COUPONS: gettext_lazy("Coupons, with grades and sign-offs"),
    Kind.RECORDS: gettext_lazy("Issued records, with correction requests and disclosures"),
    Kind.SECTION_RECORDS: gettext_lazy("Issued records of a section"),
    Kind.CODES: gettext_lazy("Sign-in codes that are over"),
    Kind.FILES: gettext_lazy("Notes of files that were asked for"),
}
# The setting that says how many months a kind is kept.
KEPT: Final = {
    Kind.PHOTOS: "keep_photos_months",
    Kind.COUPONS: "keep_coupons_months",
    Kind.RECORDS: "keep_records_months",
    Kind.SECTION_RECORDS: "keep_records_months",
}
# The way from a row to the student in a section that it is of, and to the section.
ENROLMENT: Final = {
    Kind.PHOTOS: "coupon__enrolment",
    Kind.COUPONS: "enrolment",
    Kind.RECORDS: "enrolment",
}
SECTION: Final = {kind: f"{way}__section" for kind, way in ENROLMENT.items()} | {
    Kind.SECTION_RECORDS: "section"
}
# What belongs to no section: the way to whom it is about, and to who has it.
PERSON: Final = {Kind.CODES: "user", Kind.FILES: "student"}
OWNER: Final = {Kind.CODES: "user", Kind.FILES: "asked_by"}
# The column that says the day of a row.
DAY: Final = {
    Kind.PHOTOS: "added_at",
    Kind.COUPONS: "handed_in_at",
    Kind.RECORDS: "issued_at",
    Kind.SECTION_RECORDS: "issued_at",
    Kind.CODES: "made_at",
    Kind.FILES: "asked_at",
}


def due(kind: Kind, school: School, now: datetime) -> QuerySet[Any]:
    """Return the rows of a kind that are past their time and not held.

    Parameters
    ----------
    kind : Kind
    school : School
        With its settings at hand.
    now : datetime
        The moment for which it is worked out; days are those of the school's time zone.
    """
    found, held = past(kind, school, now), held_enrolments(school)
    if kind in PERSON:
        students = list(held.values_list("user", flat=True).distinct())
        return found.exclude(**{f"{PERSON[kind]}__in": students})
    if kind in ENROLMENT:
        return found.exclude(**{f"{ENROLMENT[kind]}__in": held})
    return found.exclude(section__in=held.values("section"))


def past(kind: Kind, school: School, now: datetime) -> QuerySet[Any]:
    """Return the rows of a kind that are past their time, held or not."""
    if kind in PERSON:
        return _logs_past(kind, school, now)
    rows: dict[Kind, QuerySet[Any]] = {
        Kind.PHOTOS: Photo.objects.all(),
        Kind.COUPONS: Coupon.objects.all(),
        Kind.RECORDS: IssuedRecord.objects.all(),
        Kind.SECTION_RECORDS: IssuedSectionRecord.objects.all(),
    }
    terms = _terms_past(getattr(school.settings, KEPT[kind]), school, now)
    return rows[kind].filter(**{f"{SECTION[kind]}__term__in": terms})


def held_enrolments(school: School) -> QuerySet[Enrolment]:
    """Return the enrolments whose records stay: by a hold, or by a request that is open."""
    in_force = Hold.objects.filter(school=school, lifted_at=None)
    undecided = CorrectionRequest.objects.filter(decision=CorrectionRequest.Decision.OPEN)
    return Enrolment.objects.filter(section__term__school=school).filter(
        Exists(in_force.filter(student=OuterRef("user")))
        | Exists(in_force.filter(section=OuterRef("section")))
        | Exists(undecided.filter(enrolment=OuterRef("pk")))
    )


def after_months(day: date, months: int) -> date:
    """Return the day so many months later, the last of its month where there is none such.

    >>> after_months(date(2026, 12, 31), 14)
    datetime.date(2028, 2, 29)
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))


def _terms_past(months: int | None, school: School, now: datetime) -> list[Term]:
    """Return the terms that were over so many months ago; none where a kind is kept for good."""
    if months is None:
        return []
    zone = school.settings.zone
    today = now.astimezone(zone).date()
    return [
        term
        for term in school.terms.filter(closed_at__isnull=False)
        if term.closed_at
        # A term may be closed before its last day, and its last day moved after it was closed.
        and after_months(max(term.ends_on, term.closed_at.astimezone(zone).date()), months) < today
    ]


def _logs_past(kind: Kind, school: School, now: datetime) -> QuerySet[Any]:
    """Return what is long over and belongs to no term: codes, and notes of files without a file."""
    zone = school.settings.zone
    day = after_months(now.astimezone(zone).date(), -school.settings.keep_logs_months)
    oldest = datetime.combine(day, time(), zone)
    if kind is Kind.CODES:
        return SignInCode.objects.filter(user__school=school, expires_at__lt=oldest)
    done = ExportFile.objects.exclude(state__in=[*ExportFile.OPEN, ExportFile.State.READY])
    return done.filter(asked_by__school=school, asked_at__lt=oldest)
