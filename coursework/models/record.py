"""Term records as they were issued."""

import secrets

from django.conf import settings
from django.db import models
from django.db.models import Q

from coursework.models.section import JOIN_ALPHABET


def new_record_code() -> str:
    """Return a record number such as 7QK4-MB2X."""
    symbols = "".join(secrets.choice(JOIN_ALPHABET) for _ in range(8))
    return f"{symbols[:4]}-{symbols[4:]}"


class IssuedRecord(models.Model):
    """One issue of the term record of one student; the master text is never edited."""

    enrolment = models.ForeignKey("coursework.Enrolment", models.PROTECT, related_name="records")
    code = models.CharField(max_length=9, unique=True, default=new_record_code)
    issue = models.PositiveSmallIntegerField(help_text="1 the first, then one each time anew.")
    master = models.TextField(help_text="The record as JSON; everything printed comes from it.")
    sha256 = models.CharField(max_length=64)
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    issued_at = models.DateTimeField()

    class Meta:
        ordering = ["enrolment", "issue"]
        constraints = [
            models.UniqueConstraint(fields=["enrolment", "issue"], name="record_issue_once"),
            models.CheckConstraint(condition=Q(issue__gte=1), name="record_issue_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.code}, issue {self.issue}"
