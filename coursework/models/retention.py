"""What keeps records from being removed, and the removals that were done."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class Hold(models.Model):
    """The records of a student or of a section are not removed while it is in force."""

    school = models.ForeignKey("coursework.School", models.PROTECT, related_name="holds")
    student = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="holds", null=True, blank=True
    )
    section = models.ForeignKey(
        "coursework.Section", models.PROTECT, related_name="holds", null=True, blank=True
    )
    reason = models.CharField(max_length=300)
    placed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    placed_at = models.DateTimeField()
    lifted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    lifted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-placed_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(student__isnull=False, section=None)
                | Q(student=None, section__isnull=False),
                name="hold_of_a_student_or_a_section",
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="hold_has_a_reason"),
            models.CheckConstraint(
                condition=Q(lifted_by=None, lifted_at=None)
                | Q(lifted_by__isnull=False, lifted_at__isnull=False),
                name="hold_lifted_whole_or_not",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.student or self.section}: {self.reason}"


class Purge(models.Model):
    """One removal of what is past its time: what was confirmed, and what has been removed.

    ``confirmed`` holds what was shown, one line a kind and section; nothing beyond it is removed.
    ``removed`` counts by kind. ``files`` names photo files whose rows are gone already: they are
    what a removal that broke off still owes.
    """

    class Outcome(models.TextChoices):
        OPEN = "", "not finished"
        FINISHED = "finished", "finished"
        STOPPED = "stopped", "stopped"

    school = models.ForeignKey("coursework.School", models.PROTECT, related_name="purges")
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    outcome = models.CharField(
        max_length=8, choices=Outcome.choices, default=Outcome.OPEN, blank=True
    )
    confirmed = models.JSONField(default=list)
    removed = models.JSONField(default=dict)
    files = models.JSONField(default=list)

    class Meta:
        ordering = ["-started_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["school"], condition=Q(outcome=""), name="purge_one_at_a_time_a_school"
            ),
            models.CheckConstraint(
                condition=Q(outcome="", ended_at=None)
                | Q(outcome__in=["finished", "stopped"], ended_at__isnull=False),
                name="purge_ended_whole_or_not",
            ),
        ]

    def __str__(self) -> str:
        return f"Purge of {self.started_at:%Y-%m-%d}"

    @property
    def is_open(self) -> bool:
        """Whether it is neither finished nor stopped."""
        return self.outcome == self.Outcome.OPEN

    @property
    def total(self) -> int:
        """How many things were to be removed when it was confirmed."""
        return sum(each["count"] for each in self.confirmed)

    @property
    def done(self) -> int:
        """How many things have been removed."""
        return sum(self.removed.values())
