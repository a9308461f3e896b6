"""Rubrics in versions; a version under a grade is never edited."""

from decimal import Decimal

from django.db import models
from django.db.models import Q


class Rubric(models.Model):
    """What coupons of an exercise are graded by."""

    school = models.ForeignKey("coursework.School", models.PROTECT, related_name="rubrics")
    title = models.CharField(max_length=120)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["school", "title"], name="rubric_title_once_a_school")
        ]

    def __str__(self) -> str:
        return self.title

    def current(self) -> "RubricVersion":
        """Return the newest published version, with its criteria and levels at hand.

        Raises
        ------
        RubricVersion.DoesNotExist
            When the rubric has no published version yet.
        """
        published = self.versions.filter(published_at__isnull=False)
        return published.prefetch_related("criteria__levels").latest("number")


class RubricVersion(models.Model):
    """One edition of a rubric."""

    rubric = models.ForeignKey(Rubric, models.PROTECT, related_name="versions")
    number = models.PositiveSmallIntegerField()
    origin = models.CharField(max_length=200, default="common practice, no source")
    published_at = models.DateTimeField(
        null=True, blank=True, help_text="Empty while it is being written; nobody grades by it yet."
    )

    class Meta:
        ordering = ["rubric", "number"]
        constraints = [
            models.UniqueConstraint(fields=["rubric", "number"], name="rubric_version_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="rubric_version_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.rubric}, version {self.number}"


class Criterion(models.Model):
    """One row of a rubric; a gate caps the level of the coupon instead of adding weight."""

    version = models.ForeignKey(RubricVersion, models.PROTECT, related_name="criteria")
    place = models.PositiveSmallIntegerField()
    key = models.SlugField(max_length=40)
    title = models.CharField(max_length=80)
    weight = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))
    gate = models.BooleanField(default=False)
    check_test = models.BooleanField(
        default=False, help_text="Scored only where the exercise asks for a check test."
    )

    class Meta:
        ordering = ["version", "place"]
        verbose_name_plural = "criteria"
        constraints = [
            models.UniqueConstraint(fields=["version", "place"], name="criterion_place_once"),
            models.UniqueConstraint(fields=["version", "key"], name="criterion_key_once"),
            models.CheckConstraint(
                condition=Q(gate=True, weight=0) | Q(gate=False, weight__gt=0, weight__lte=100),
                name="criterion_gate_or_weight",
            ),
        ]

    def __str__(self) -> str:
        return self.title


class Level(models.Model):
    """What one level of one criterion looks like, 1 (not yet) to 4 (every time)."""

    criterion = models.ForeignKey(Criterion, models.PROTECT, related_name="levels")
    digit = models.PositiveSmallIntegerField()
    words = models.CharField(max_length=160)

    class Meta:
        ordering = ["criterion", "digit"]
        constraints = [
            models.UniqueConstraint(fields=["criterion", "digit"], name="level_digit_once"),
            models.CheckConstraint(
                condition=Q(digit__gte=1, digit__lte=4), name="level_digit_one_to_four"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.digit} {self.words}"
