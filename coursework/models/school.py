"""A school, what it may set, and its terms."""

import uuid
import zoneinfo
from datetime import date
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q


def known_time_zone(name: str) -> None:
    """Refuse a time zone that this machine does not know."""
    if name not in zoneinfo.available_timezones():
        raise ValidationError(f"“{name}” is not a time zone; try America/Chicago.")


class School(models.Model):
    """One school; everything else hangs from it."""

    name = models.CharField(max_length=120, unique=True)
    public_id = models.UUIDField(
        default=uuid.uuid4,
        unique=True,
        editable=False,
        help_text="Other systems know everything of the school by ids made from it.",
    )

    def __str__(self) -> str:
        return self.name


class SchoolSettings(models.Model):
    """What a school may set: units, time zone, cleaning window, limit sets."""

    class Units(models.TextChoices):
        SHOP = "shop", "inches first"
        METRIC = "metric", "millimeters first"

    school = models.OneToOneField(School, models.PROTECT, related_name="settings")
    units = models.CharField(max_length=6, choices=Units.choices, default=Units.SHOP)
    time_zone = models.CharField(
        max_length=64, default="America/Chicago", validators=[known_time_zone]
    )
    cleaning_window_h = models.FloatField(default=4.0)
    cleaning_redo_h = models.FloatField(default=8.0)
    dcen_with_helium = models.BooleanField(default=False)
    limit_sets = models.JSONField(
        default=list, blank=True, help_text="Sets of limits of the school's own."
    )
    hold_grades = models.BooleanField(
        default=False, help_text="Grades wait until an instructor releases them together."
    )
    second_grading_percent = models.PositiveSmallIntegerField(
        default=10, help_text="Share of graded coupons that a second instructor grades blind."
    )
    keep_photos_months = models.PositiveSmallIntegerField(
        default=12, help_text="How long photos stay after the term."
    )
    keep_coupons_months = models.PositiveSmallIntegerField(
        default=60, help_text="How long coupons, grades and sign-offs stay after the term."
    )
    keep_records_months = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="How long issued records stay; empty for good."
    )
    keep_logs_months = models.PositiveSmallIntegerField(
        default=12, help_text="How long codes that are over and notes of files stay."
    )

    class Meta:
        verbose_name_plural = "school settings"
        constraints = [
            models.CheckConstraint(
                condition=Q(cleaning_window_h__gt=0, cleaning_redo_h__gte=F("cleaning_window_h")),
                name="school_settings_cleaning_window_in_order",
            ),
            models.CheckConstraint(
                condition=Q(units__in=["shop", "metric"]), name="school_settings_known_units"
            ),
            models.CheckConstraint(
                condition=Q(second_grading_percent__lte=100),
                name="school_settings_second_grading_is_a_share",
            ),
            models.CheckConstraint(
                condition=Q(
                    keep_photos_months__gte=1,
                    keep_coupons_months__gte=F("keep_photos_months"),
                    keep_logs_months__gte=1,
                )
                & (
                    Q(keep_records_months=None)
                    | Q(keep_records_months__gte=F("keep_coupons_months"))
                ),
                name="school_settings_kept_photos_coupons_records_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"Settings of {self.school}"

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        """The time zone that days and times of the school are shown in."""
        return zoneinfo.ZoneInfo(self.time_zone)

    @property
    def metric_first(self) -> bool:
        """Whether millimeters come before inches."""
        return self.units == self.Units.METRIC

    def rules(self) -> dict[str, Any]:
        """Return what the engine's rules are to be run with."""
        confirmed = self.school.confirmed_limits.order_by("limit").values_list("limit", flat=True)
        return {
            "cleaning_window_h": self.cleaning_window_h,
            "cleaning_redo_h": self.cleaning_redo_h,
            "dcen_with_helium": self.dcen_with_helium,
            "confirmed_limits": list(confirmed),
            "limit_sets": self.limit_sets,
        }


class ConfirmedLimit(models.Model):
    """A limit from memory that an instructor found in the school's own copy of the document."""

    school = models.ForeignKey(School, models.PROTECT, related_name="confirmed_limits")
    limit = models.CharField(max_length=60, help_text="Its id, such as iso10042-c-Q11.")
    confirmed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    confirmed_at = models.DateTimeField()

    class Meta:
        ordering = ["school", "limit"]
        constraints = [
            models.UniqueConstraint(fields=["school", "limit"], name="limit_confirmed_once")
        ]

    def __str__(self) -> str:
        return self.limit


class Term(models.Model):
    """One term of a school."""

    school = models.ForeignKey(School, models.PROTECT, related_name="terms")
    name = models.CharField(max_length=60)
    starts_on = models.DateField()
    ends_on = models.DateField()
    closed_at = models.DateTimeField(
        null=True, blank=True, help_text="From then on nothing is logged or graded in it."
    )

    class Meta:
        ordering = ["-starts_on", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["school", "name"], name="term_name_once_a_school"),
            models.CheckConstraint(
                condition=Q(ends_on__gt=F("starts_on")), name="term_ends_after_it_starts"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def week(self, day: date) -> int:
        """Return the week of the term that a day lies in, from 1 up, kept inside the term."""
        return min(max((day - self.starts_on).days // 7 + 1, 1), self.weeks)

    @property
    def weeks(self) -> int:
        """How many weeks the term has."""
        return ((self.ends_on - self.starts_on).days + 6) // 7
