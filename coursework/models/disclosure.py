"""To whom something of students' records was given, outside of the school."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class Disclosure(models.Model):
    """One file that left the school: what, about whom, to whom, and why.

    It is kept as long as the records that it is about (34 CFR 99.32, from memory).
    """

    class Why(models.TextChoices):
        INTEREST = "interest", "a legitimate interest"
        CONSENT = "consent", "the student's written consent"
        OTHER = "other", "another reason"

    school = models.ForeignKey("coursework.School", models.PROTECT, related_name="disclosures")
    enrolments = models.ManyToManyField("coursework.Enrolment", related_name="disclosures")
    what = models.CharField(max_length=160)
    to = models.CharField(max_length=160)
    why = models.CharField(max_length=8, choices=Why.choices)
    note = models.CharField(
        max_length=300, blank=True, default="", help_text="Which interest, consent or reason."
    )
    disclosed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    disclosed_at = models.DateTimeField()

    class Meta:
        ordering = ["-disclosed_at", "-pk"]
        indexes = [models.Index(fields=["school", "-disclosed_at"], name="disclosure_of_school")]
        constraints = [
            models.CheckConstraint(
                condition=Q(why__in=["interest", "consent", "other"]), name="disclosure_known_why"
            ),
            models.CheckConstraint(
                condition=~Q(what="") & ~Q(to=""), name="disclosure_says_what_and_to_whom"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.what}, to {self.to}"
