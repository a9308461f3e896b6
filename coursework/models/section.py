"""Sections of a term and who is in them."""

import secrets

from django.conf import settings
from django.db import models
from django.db.models import Q

# No 0, O, 1, I or L: the code is read off a poster and typed with one thumb.
JOIN_ALPHABET = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"


def new_join_code() -> str:
    """Return a join code of eight symbols that are hard to misread."""
    return "".join(secrets.choice(JOIN_ALPHABET) for _ in range(8))


class Section(models.Model):
    """One group of students that is taught one course plan in one term."""

    term = models.ForeignKey("coursework.Term", models.PROTECT, related_name="sections")
    plan = models.ForeignKey("coursework.CoursePlan", models.PROTECT, related_name="sections")
    name = models.CharField(max_length=20)
    join_code = models.CharField(max_length=8, unique=True, default=new_join_code)
    joining_open = models.BooleanField(default=True)
    join_code_expires_at = models.DateTimeField(null=True, blank=True)
    joining_needs_approval = models.BooleanField(
        default=False, help_text="Who joins by code waits until an instructor lets them in."
    )
    source_id = models.CharField(
        max_length=255, blank=True, default="", help_text="Its id in the roster it came from."
    )

    class Meta:
        ordering = ["term", "name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["term", "plan", "name"], name="section_name_once_a_term_and_plan"
            )
        ]

    def __str__(self) -> str:
        return f"{self.plan.code}, Section {self.name}"


class Enrolment(models.Model):
    """One person in one section, to learn or to teach."""

    class Role(models.TextChoices):
        STUDENT = "student", "student"
        INSTRUCTOR = "instructor", "instructor"

    section = models.ForeignKey(Section, models.PROTECT, related_name="enrolments")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="enrolments")
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.STUDENT)
    joined_at = models.DateTimeField()
    waits_for_approval = models.BooleanField(default=False)
    left_at = models.DateTimeField(
        null=True, blank=True, help_text="No longer on the roster; the coupons stay."
    )
    coupons_removed_at = models.DateTimeField(
        null=True, blank=True, help_text="When the coupons were removed, past their time."
    )
    lead = models.BooleanField(
        default=False, help_text="The instructor who settles second gradings and confirms limits."
    )

    class Meta:
        ordering = ["section", "user__last_name", "user__first_name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["section", "user"], name="enrolment_once_a_section"),
            models.CheckConstraint(
                condition=Q(role__in=["student", "instructor"]), name="enrolment_known_role"
            ),
            models.CheckConstraint(
                condition=Q(lead=False) | Q(role="instructor"), name="enrolment_lead_teaches"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user} in {self.section}"


class SectionMove(models.Model):
    """A student who changed section of the same plan, with all coupons."""

    enrolment = models.ForeignKey(Enrolment, models.PROTECT, related_name="moves")
    from_section = models.ForeignKey(Section, models.PROTECT, related_name="+")
    to_section = models.ForeignKey(Section, models.PROTECT, related_name="+")
    moved_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    moved_at = models.DateTimeField()
    reason = models.CharField(max_length=200, blank=True, default="")

    class Meta:
        ordering = ["enrolment", "moved_at", "pk"]

    def __str__(self) -> str:
        return f"{self.enrolment.user}: {self.from_section} to {self.to_section}"
