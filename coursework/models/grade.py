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
    repeat = models.CharField(
        max_length=200, blank=True, default="", help_text="What to repeat, where it is returned."
    )
    released_at = models.DateTimeField(
        null=True, blank=True, help_text="When the student could see it; empty while it is held."
    )
    undone_at = models.DateTimeField(
        null=True, blank=True, help_text="Taken back by its grader within ten minutes."
    )

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


class CheckResult(models.Model):
    """What a check test showed; a test done again is a further row."""

    coupon = models.ForeignKey("coursework.Coupon", models.PROTECT, related_name="check_results")
    number = models.PositiveSmallIntegerField(help_text="1 the first test, then one a repeat.")
    kind = models.CharField(max_length=12)
    passed = models.BooleanField()
    largest_opening_mm = models.FloatField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True, default="")
    photo = models.ForeignKey(
        "coursework.Photo", models.PROTECT, related_name="+", null=True, blank=True
    )
    tested_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    tested_at = models.DateTimeField()

    class Meta:
        ordering = ["coupon", "number"]
        constraints = [
            models.UniqueConstraint(fields=["coupon", "number"], name="check_result_number_once"),
            models.CheckConstraint(
                condition=Q(kind__in=["visual", "saw", "break", "bend", "macro", "penetrant"]),
                name="check_result_known_kind",
            ),
            models.CheckConstraint(
                condition=Q(largest_opening_mm=None) | Q(largest_opening_mm__gte=0),
                name="check_result_opening_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind}, {'passed' if self.passed else 'failed'}"


class SecondLook(models.Model):
    """A graded coupon that a second instructor grades without seeing the first grade."""

    coupon = models.OneToOneField("coursework.Coupon", models.PROTECT, related_name="second_look")
    grade = models.ForeignKey(Grade, models.PROTECT, related_name="second_looks")
    drawn_at = models.DateTimeField()
    grader = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    graded_at = models.DateTimeField(null=True, blank=True)
    level = models.PositiveSmallIntegerField(null=True, blank=True)
    comment = models.TextField(blank=True, default="")
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["drawn_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(grader=None, graded_at=None, level=None)
                | Q(graded_at__isnull=False, level__gte=1, level__lte=4, grader__isnull=False),
                name="second_look_graded_whole_or_not",
            ),
        ]

    def __str__(self) -> str:
        return f"Second look at {self.coupon}"


class SecondScore(models.Model):
    """The level that one criterion was given by the second grader."""

    second_look = models.ForeignKey(SecondLook, models.PROTECT, related_name="scores")
    criterion = models.ForeignKey("coursework.Criterion", models.PROTECT, related_name="+")
    level = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["second_look", "criterion__place"]
        constraints = [
            models.UniqueConstraint(
                fields=["second_look", "criterion"], name="second_score_once_a_criterion"
            ),
            models.CheckConstraint(
                condition=Q(level__gte=1, level__lte=4), name="second_score_level_one_to_four"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.criterion} {self.level}"


class Lease(models.Model):
    """Who has a coupon on the grading bench, so that two graders do not meet at it."""

    coupon = models.OneToOneField("coursework.Coupon", models.CASCADE, related_name="lease")
    grader = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="leases")
    until = models.DateTimeField()

    class Meta:
        ordering = ["until", "pk"]

    def __str__(self) -> str:
        return f"{self.coupon} with {self.grader}"


class Phrase(models.Model):
    """Words that an instructor uses again and again."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="phrases")
    text = models.CharField(max_length=300)
    used = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["owner", "-used", "text", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["owner", "text"], name="phrase_once_an_owner")
        ]

    def __str__(self) -> str:
        return self.text
