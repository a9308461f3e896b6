"""Term records as they were issued: of a student, and of a section."""

import secrets

from django.conf import settings
from django.db import models
from django.db.models import Q

from coursework.models.section import JOIN_ALPHABET


def new_record_code() -> str:
    """Return a record number such as 7QK4-MB2X."""
    symbols = "".join(secrets.choice(JOIN_ALPHABET) for _ in range(8))
    return f"{symbols[:4]}-{symbols[4:]}"


class Issued(models.Model):
    """One issue of a record. The database refuses to edit it, but for withdrawing it once."""

    code = models.CharField(max_length=9, unique=True, default=new_record_code)
    issue = models.PositiveSmallIntegerField(help_text="1 the first, then one each time anew.")
    master = models.TextField(help_text="The record as JSON; everything printed comes from it.")
    sha256 = models.CharField(max_length=64)
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    issued_at = models.DateTimeField()
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_reason = models.CharField(max_length=300, blank=True, default="")

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=Q(withdrawn_at=None, withdrawn_by=None, withdrawn_reason="")
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False)
                & ~Q(withdrawn_reason=""),
                name="%(class)s_withdrawn_whole_or_not",
            ),
            models.CheckConstraint(condition=Q(issue__gte=1), name="%(class)s_issue_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.code}, issue {self.issue}"


class IssuedRecord(Issued):
    """One issue of the term record of one student."""

    enrolment = models.ForeignKey("coursework.Enrolment", models.PROTECT, related_name="records")

    class Meta(Issued.Meta):
        ordering = ["enrolment", "issue"]
        constraints = [
            *Issued.Meta.constraints,
            models.UniqueConstraint(fields=["enrolment", "issue"], name="record_issue_once"),
        ]


class IssuedSectionRecord(Issued):
    """One issue of the term record of a whole section."""

    section = models.ForeignKey("coursework.Section", models.PROTECT, related_name="records")

    class Meta(Issued.Meta):
        ordering = ["section", "issue"]
        constraints = [
            *Issued.Meta.constraints,
            models.UniqueConstraint(fields=["section", "issue"], name="section_record_issue_once"),
        ]
