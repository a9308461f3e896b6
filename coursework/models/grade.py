"""Grades and their scores; rows are only ever added."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class Grade(models.Model):
    """What an instructor decided about a coupon. A regrade is a further row with a reason."""

    class Decision(models.TextChoices):
        ACCEPTED = "accepted", "accepted"
        RETURNED = "returned", "returned"

    coupon = models.ForeignKey("coursework.Coupon", models.PROTECT, related_name="grades")
    number = models.PositiveSmallIntegerField(help_text="1 the first grade, then one a regrade.")
    facts = models.ForeignKey("coursework.CouponFacts", models.PROTECT, related_name="grades")
    rubric_version = models.ForeignKey(
        "coursework.RubricVersion", models.PROTECT, related_name="grades"
    )
    grader = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="grades")
    graded_at = models.DateTimeField()
    decision = models.CharField(max_length=12, choices=Decision.choices)
    level = models.PositiveSmallIntegerField()
    weighted = models.DecimalField(max_digits=3, decimal_places=2)
    capped_by = models.CharField(max_length=80, blank=True, default="")
    comment = models.TextField(blank=True, default="")
    reason = models.TextField(blank=True, default="", help_text="Why it was graded again.")

    class Meta:
        ordering = ["coupon", "number"]
        constraints = [
            models.UniqueConstraint(fields=["coupon", "number"], name="grade_number_once"),
            models.CheckConstraint(
                condition=Q(level__gte=1, level__lte=4), name="grade_level_one_to_four"
            ),
            models.CheckConstraint(
                condition=Q(decision__in=["accepted", "returned"]), name="grade_known_decision"
            ),
            models.CheckConstraint(
                condition=Q(number=1) | ~Q(reason=""), name="grade_again_has_a_reason"
            ),
        ]

    def __str__(self) -> str:
        return f"Level {self.level}, {self.decision}"


class Score(models.Model):
    """The level that one criterion was given."""

    grade = models.ForeignKey(Grade, models.PROTECT, related_name="scores")
    criterion = models.ForeignKey("coursework.Criterion", models.PROTECT, related_name="scores")
    level = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["grade", "criterion__place"]
        constraints = [
            models.UniqueConstraint(fields=["grade", "criterion"], name="score_once_a_criterion"),
            models.CheckConstraint(
                condition=Q(level__gte=1, level__lte=4), name="score_level_one_to_four"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.criterion} {self.level}"


class SignOff(models.Model):
    """An instructor's name under an exercise: this student is competent in it."""

    enrolment = models.ForeignKey("coursework.Enrolment", models.PROTECT, related_name="sign_offs")
    exercise = models.ForeignKey("coursework.Exercise", models.PROTECT, related_name="sign_offs")
    signed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    signed_at = models.DateTimeField()

    class Meta:
        ordering = ["enrolment", "exercise"]
        constraints = [
            models.UniqueConstraint(
                fields=["enrolment", "exercise"], name="sign_off_once_an_exercise"
            )
        ]

    def __str__(self) -> str:
        return f"{self.exercise} signed by {self.signed_by}"
