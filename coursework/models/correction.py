"""What a student asks to have put right in the own record, and what came of it."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class CorrectionRequest(models.Model):
    """A student says that something in the own record is not accurate.

    Whoever decides gives a reason. Where it is declined, the student may place a statement once,
    which travels with every export from then on.
    """

    class Decision(models.TextChoices):
        OPEN = "", "open"
        ACCEPTED = "accepted", "accepted"
        DECLINED = "declined", "declined"

    enrolment = models.ForeignKey(
        "coursework.Enrolment", models.PROTECT, related_name="correction_requests"
    )
    coupon = models.ForeignKey(
        "coursework.Coupon",
        models.SET_NULL,
        related_name="correction_requests",
        null=True,
        blank=True,
    )
    about = models.CharField(
        max_length=120, help_text="In words, for the time when the coupon is no longer kept."
    )
    what = models.TextField(help_text="What is wrong, and what it should say.")
    asked_at = models.DateTimeField()
    decision = models.CharField(
        max_length=8, choices=Decision.choices, default=Decision.OPEN, blank=True
    )
    reason = models.TextField(blank=True, default="")
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    decided_at = models.DateTimeField(null=True, blank=True)
    statement = models.TextField(blank=True, default="")
    stated_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["asked_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(decision="", reason="", decided_by=None, decided_at=None)
                | Q(
                    decision__in=["accepted", "declined"],
                    decided_by__isnull=False,
                    decided_at__isnull=False,
                )
                & ~Q(reason=""),
                name="correction_request_decided_whole_or_not",
            ),
            models.CheckConstraint(
                condition=Q(statement="", stated_at=None)
                | Q(decision="declined", stated_at__isnull=False) & ~Q(statement=""),
                name="correction_request_statement_only_when_declined",
            ),
        ]
        indexes = [
            models.Index(
                fields=["enrolment"], condition=Q(decision=""), name="correction_request_open"
            )
        ]

    def __str__(self) -> str:
        return f"{self.about}, asked by {self.enrolment.user}"

    @property
    def is_open(self) -> bool:
        """Whether nobody has decided it yet."""
        return self.decision == self.Decision.OPEN

    @property
    def takes_statement(self) -> bool:
        """Whether the student may place a statement now."""
        return self.decision == self.Decision.DECLINED and self.stated_at is None
