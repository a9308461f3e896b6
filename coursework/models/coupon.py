"""The coupon: one piece of metal, one weld, one set of facts, and its photos."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q


class Coupon(models.Model):
    """One practice coupon of one student.

    ``version`` counts every change of the coupon (hand-in, correction, withdrawal, grade); whoever
    changes it names the version that the change was based on. What the coupon states stands in
    ``CouponFacts``, a row for each time it was handed in or corrected.
    """

    class State(models.TextChoices):
        HANDED_IN = "handed_in", "waiting for a grade"
        # Graded, and not released yet: whoever may not know of it reads the same words.
        HELD = "held", "waiting for a grade"
        ACCEPTED = "accepted", "accepted"
        RETURNED = "returned", "returned"
        WITHDRAWN = "withdrawn", "withdrawn"

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    client_id = models.UUIDField(help_text="Made by the phone, so that sending twice is harmless.")
    content_hash = models.CharField(max_length=64)
    enrolment = models.ForeignKey(
        "coursework.Enrolment", models.PROTECT, related_name="coupons", db_index=False
    )
    section = models.ForeignKey(
        "coursework.Section", models.PROTECT, related_name="coupons", db_index=False
    )
    exercise = models.ForeignKey("coursework.Exercise", models.PROTECT, related_name="coupons")
    number = models.PositiveIntegerField(help_text="Counts the coupons of this student.")
    version = models.PositiveIntegerField(default=1)
    state = models.CharField(max_length=12, choices=State.choices, default=State.HANDED_IN)
    handed_in_at = models.DateTimeField()
    predicted_level = models.PositiveSmallIntegerField(null=True, blank=True)
    logged_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        help_text="Who logged it for a student without a phone.",
    )
    facts = models.ForeignKey(
        "coursework.CouponFacts", models.PROTECT, related_name="+", null=True, editable=False
    )
    assessment = models.ForeignKey(
        "coursework.Assessment", models.PROTECT, related_name="+", null=True, editable=False
    )
    grade = models.ForeignKey(
        "coursework.Grade", models.PROTECT, related_name="+", null=True, editable=False
    )

    class Meta:
        ordering = ["-handed_in_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["enrolment", "client_id"], name="coupon_client_id_once_a_student"
            ),
            models.UniqueConstraint(
                fields=["enrolment", "number"], name="coupon_number_once_a_student"
            ),
            models.CheckConstraint(
                condition=Q(predicted_level=None)
                | Q(predicted_level__gte=1, predicted_level__lte=4),
                name="coupon_predicted_level_one_to_four",
            ),
            models.CheckConstraint(
                condition=Q(state__in=["handed_in", "held", "accepted", "returned", "withdrawn"]),
                name="coupon_known_state",
            ),
        ]
        indexes = [
            models.Index(
                fields=["section", "enrolment", "exercise", "-handed_in_at"],
                name="coupon_by_student_exercise",
            ),
            models.Index(fields=["enrolment", "-handed_in_at"], name="coupon_of_student"),
            models.Index(
                fields=["section", "handed_in_at"],
                condition=Q(state="handed_in"),
                name="coupon_waiting",
            ),
        ]

    def __str__(self) -> str:
        return f"Coupon {self.number}"

    @property
    def is_open(self) -> bool:
        """Whether the student may still correct or withdraw it."""
        return self.state == self.State.HANDED_IN

    @property
    def is_graded(self) -> bool:
        """Whether an instructor has accepted or returned it, and the student knows."""
        return self.state in {self.State.ACCEPTED, self.State.RETURNED}

    @property
    def has_grade(self) -> bool:
        """Whether it has a grade, be it one that is held."""
        return self.is_graded or self.state == self.State.HELD


class Photo(models.Model):
    """One picture of a coupon. Several rows may share one stored file."""

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    coupon = models.ForeignKey(Coupon, models.PROTECT, related_name="photos")
    place = models.PositiveSmallIntegerField()
    file = models.CharField(max_length=120, help_text="Name in the media storage.")
    description = models.CharField(max_length=160, blank=True)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    size_bytes = models.PositiveIntegerField()
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    added_at = models.DateTimeField()

    class Meta:
        ordering = ["coupon", "place"]
        constraints = [
            models.UniqueConstraint(fields=["coupon", "place"], name="photo_place_once_a_coupon"),
            models.CheckConstraint(
                condition=Q(width_px__gt=0, height_px__gt=0, size_bytes__gt=0),
                name="photo_has_a_size",
            ),
        ]

    def __str__(self) -> str:
        return self.description or f"Photo {self.place}"
