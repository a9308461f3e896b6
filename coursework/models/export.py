"""A file that somebody asked for and the worker makes: how far it is, where it lies, how long."""

import uuid
from datetime import datetime

from django.conf import settings
from django.db import models
from django.db.models import Q


class ExportFile(models.Model):
    """One export, made for one person alone; the row outlives its file.

    ``done`` of ``of`` are the steps that its kind counts in. ``file`` is the name in the storage
    ``exports``, empty unless the state is ready.
    """

    class State(models.TextChoices):
        WAITING = "waiting", "waiting for its turn"
        RUNNING = "running", "being made"
        READY = "ready", "ready"
        FAILED = "failed", "not made"
        CANCELLED = "cancelled", "cancelled"
        EXPIRED = "expired", "expired"

    OPEN = (State.WAITING, State.RUNNING)

    public_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.CASCADE, related_name="export_files"
    )
    kind = models.CharField(max_length=24)
    section = models.ForeignKey(
        "coursework.Section", models.CASCADE, related_name="+", null=True, blank=True
    )
    student = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.CASCADE, related_name="+", null=True, blank=True
    )
    state = models.CharField(max_length=9, choices=State.choices, default=State.WAITING)
    done = models.PositiveIntegerField(default=0)
    of = models.PositiveIntegerField(default=0)
    site = models.URLField(
        blank=True, default="", help_text="Where the site was reached, for codes to scan."
    )
    file = models.CharField(max_length=120, blank=True, default="")
    size_bytes = models.PositiveBigIntegerField(default=0)
    sha256 = models.CharField(max_length=64, blank=True, default="")
    asked_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    expires_at = models.DateTimeField(null=True, blank=True)
    seen_at = models.DateTimeField(
        null=True, blank=True, help_text="When the person was on the page of files after the end."
    )
    problem = models.TextField(blank=True, default="", help_text="Why there is no file.")

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["asked_by"],
                condition=Q(state__in=["waiting", "running"]),
                name="export_file_one_at_a_time",
            ),
            models.CheckConstraint(
                condition=Q(
                    state__in=["waiting", "running", "ready", "failed", "cancelled", "expired"]
                ),
                name="export_file_known_state",
            ),
            models.CheckConstraint(
                condition=Q(section=None, student__isnull=False)
                | Q(section__isnull=False, student=None),
                name="export_file_about_one_thing",
            ),
            models.CheckConstraint(
                condition=(Q(state="ready", expires_at__isnull=False) & ~Q(file="") & ~Q(sha256=""))
                | (~Q(state="ready") & Q(file="")),
                name="export_file_is_there_when_ready",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} for {self.asked_by}"

    @property
    def is_open(self) -> bool:
        """Whether it still waits or is being made."""
        return self.state in self.OPEN

    def is_there(self, at: datetime) -> bool:
        """Whether the file is to be had: made, and not past its days."""
        if self.state != self.State.READY or self.expires_at is None:
            return False
        return at < self.expires_at
