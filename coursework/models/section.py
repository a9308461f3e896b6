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

    class Meta:
        ordering = ["section", "user__last_name", "user__first_name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["section", "user"], name="enrolment_once_a_section"),
            models.CheckConstraint(
                condition=Q(role__in=["student", "instructor"]), name="enrolment_known_role"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user} in {self.section}"
