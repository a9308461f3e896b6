"""Everybody who signs in."""

from typing import ClassVar

from django.contrib.auth.models import AbstractUser
from django.contrib.auth.models import UserManager as DjangoUserManager
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy


class UserManager(DjangoUserManager["User"]):
    """Finds people however they spell their user name: phones like to begin with a capital."""

    def get_by_natural_key(self, username: str | None) -> "User":
        return self.get(username__iexact=username)


class User(AbstractUser):
    """A student, an instructor or a coordinator of one school."""

    class Role(models.TextChoices):
        STUDENT = "student", "student"
        INSTRUCTOR = "instructor", "instructor"
        COORDINATOR = "coordinator", "coordinator"

    school = models.ForeignKey(
        "coursework.School", models.PROTECT, related_name="people", null=True, blank=True
    )
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.STUDENT)
    student_number = models.CharField(max_length=24, blank=True)
    source_id = models.CharField(
        max_length=255, blank=True, default="", help_text="Their id in the roster they came from."
    )

    objects: ClassVar[UserManager] = UserManager()

    class Meta(AbstractUser.Meta):
        constraints = [
            models.CheckConstraint(
                condition=Q(role__in=["student", "instructor", "coordinator"]),
                name="user_known_role",
            ),
            models.UniqueConstraint(
                Lower("username"),
                name="user_name_once_whatever_its_case",
                violation_error_message=gettext_lazy(
                    "This user name is taken. Choose another, or sign in if it is yours."
                ),
            ),
            models.UniqueConstraint(
                fields=["school", "student_number"],
                condition=~Q(student_number=""),
                name="user_student_number_once_a_school",
            ),
            models.UniqueConstraint(
                fields=["school", "source_id"],
                condition=~Q(source_id=""),
                name="user_source_id_once_a_school",
            ),
        ]

    def __str__(self) -> str:
        return self.get_full_name() or self.username

    @property
    def initials(self) -> str:
        """The initials under a signed line, such as RH."""
        return (self.first_name[:1] + self.last_name[:1]).upper() or self.username[:2].upper()

    @property
    def is_student(self) -> bool:
        return self.role == self.Role.STUDENT

    @property
    def is_instructor(self) -> bool:
        return self.role == self.Role.INSTRUCTOR

    @property
    def is_coordinator(self) -> bool:
        return self.role == self.Role.COORDINATOR


class SignInCode(models.Model):
    """A code on paper with which somebody who forgot the password signs in, once."""

    user = models.ForeignKey(User, models.CASCADE, related_name="sign_in_codes")
    code_hash = models.CharField(max_length=128)
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["user", "-made_at"]

    def __str__(self) -> str:
        return f"Code for {self.user}"
