"""What the engine said about a coupon, and by which edition of its rules."""

from django.db import models
from django.db.models import Q


class Assessment(models.Model):
    """One review of one set of facts. A later review is a row of its own."""

    facts = models.ForeignKey("coursework.CouponFacts", models.PROTECT, related_name="assessments")
    edition = models.CharField(max_length=24)
    rules_hash = models.CharField(max_length=64)
    assessed_at = models.DateTimeField()
    travel_speed_mm_s = models.FloatField(null=True)
    arc_energy_kj_mm = models.FloatField(null=True)
    heat_input_kj_mm = models.FloatField(null=True)
    stops = models.PositiveSmallIntegerField(default=0)
    safety_stops = models.PositiveSmallIntegerField(default=0)
    warns = models.PositiveSmallIntegerField(default=0)
    cleaning_slips = models.PositiveSmallIntegerField(
        default=0, help_text="Cleaning steps that were skipped or swapped."
    )
    figures = models.JSONField(default=dict)
    causes = models.JSONField(default=list)
    acceptance = models.JSONField(default=list)
    not_assessed = models.JSONField(default=list)
    cautions = models.JSONField(default=list)
    next_try = models.JSONField(null=True)

    class Meta:
        # By plain columns: an ordering through facts would join a coupon table into subqueries.
        ordering = ["assessed_at", "pk"]
        get_latest_by = ["assessed_at", "pk"]

    def __str__(self) -> str:
        return f"{self.facts} by edition {self.edition}"


class Finding(models.Model):
    """One stored finding: the rule's id and its numbers; the sentence is worded when shown."""

    class Severity(models.TextChoices):
        STOP = "stop", "Stop"
        WARN = "warn", "Warn"
        ADVISE = "advise", "Advise"

    assessment = models.ForeignKey(Assessment, models.PROTECT, related_name="findings")
    place = models.PositiveSmallIntegerField()
    rule = models.CharField(max_length=80)
    severity = models.CharField(max_length=6, choices=Severity.choices)
    says = models.TextField(help_text="The sentence as it was first shown.")
    fields = models.JSONField(default=list)
    measured = models.JSONField(null=True)
    limit = models.JSONField(null=True)
    suggestion = models.JSONField(null=True)
    source = models.CharField(max_length=80)
    values = models.JSONField(default=dict)

    class Meta:
        ordering = ["assessment", "place"]
        constraints = [
            models.UniqueConstraint(fields=["assessment", "place"], name="finding_place_once"),
            models.CheckConstraint(
                condition=Q(severity__in=["stop", "warn", "advise"]),
                name="finding_known_severity",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.severity} {self.rule}"

    @property
    def is_safety(self) -> bool:
        """Whether it is about people, not about the weld."""
        return self.rule.startswith("safety-")
