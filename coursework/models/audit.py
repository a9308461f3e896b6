"""The audit table: what was done, by whom, to what, in a chain that shows every later change."""

import json
from typing import Any, NamedTuple

from django.conf import settings
from django.db import models


class Act(models.TextChoices):
    """What can be done; the column holds any text, so that a line here needs no migration."""

    GRADE_GIVEN = "grade_given", "Grade given"
    GRADE_HELD = "grade_held", "Grade given and held"
    REGRADED = "regraded", "Graded again"
    GRADE_RELEASED = "grade_released", "Grade released"
    GRADE_TAKEN_BACK = "grade_taken_back", "Grade taken back"
    SIGNED_OFF = "signed_off", "Exercise signed off"
    CHECK_TEST_RECORDED = "check_test_recorded", "Check test recorded"
    COUPON_CORRECTED = "coupon_corrected", "Coupon corrected"
    COUPON_WITHDRAWN = "coupon_withdrawn", "Coupon withdrawn"
    LOGGED_ON_BEHALF = "logged_on_behalf", "Coupon logged on behalf"

    RECORD_ISSUED = "record_issued", "Record issued"
    RECORD_TAKEN_OVER = "record_taken_over", "Record found when the audit began"
    RECORD_WITHDRAWN = "record_withdrawn", "Record withdrawn"
    BADGE_ISSUED = "badge_issued", "Badge issued"
    EXPORTED = "exported", "Exported"
    DISCLOSED = "disclosed", "Disclosed"
    CORRECTION_REQUESTED = "correction_requested", "Correction requested"
    CORRECTION_DECIDED = "correction_decided", "Correction decided"
    CORRECTION_ANSWERED = "correction_answered", "Statement placed under a declined correction"
    HOLD_SET = "hold_set", "Hold set"
    HOLD_LIFTED = "hold_lifted", "Hold lifted"
    PURGE_CONFIRMED = "purge_confirmed", "Purge confirmed"
    PURGED = "purged", "Purged"

    TERM_OPENED = "term_opened", "Term opened"
    TERM_CHANGED = "term_changed", "Term changed"
    TERM_CLOSED = "term_closed", "Term closed"
    TERM_REOPENED = "term_reopened", "Term opened again"
    SECTION_OPENED = "section_opened", "Section opened"
    SECTION_STAFF_CHANGED = "section_staff_changed", "Section staff changed"
    STAFF_ADDED = "staff_added", "Staff added"
    ROLE_CHANGED = "role_changed", "Role changed"
    ACCESS_ENDED = "access_ended", "Access ended"
    ACCESS_GIVEN_BACK = "access_given_back", "Access given back"
    SIGN_IN_CODE_MADE = "sign_in_code_made", "Sign-in code made"
    PASSWORD_CHOSEN = "password_chosen", "Password chosen with a code"
    STUDENT_MOVED = "student_moved", "Student moved"
    ROSTER_APPLIED = "roster_applied", "Roster applied"
    STUDENTS_TAKEN_OUT = "student_taken_out", "Student taken out"
    STUDENTS_TAKEN_BACK = "student_taken_back", "Student taken back"
    JOIN_REQUEST_DECIDED = "join_request_decided", "Join request decided"
    JOINING_CHANGED = "joining_changed", "Joining changed"
    JOIN_CODE_RENEWED = "join_code_renewed", "Join code renewed"
    SETTINGS_CHANGED = "settings_changed", "School settings changed"
    LIMIT_SETS_CHANGED = "limit_sets_changed", "Limit sets changed"
    LIMIT_CONFIRMED = "limit_confirmed", "Limit confirmed"
    LIMIT_TAKEN_BACK = "limit_taken_back", "Confirmation of a limit taken back"
    PLAN_STARTED = "plan_started", "Course plan started"
    EXERCISE_ADDED = "exercise_added", "Exercise added"
    EXERCISE_CHANGED = "exercise_changed", "Exercise changed"
    EXERCISE_RETIRED = "exercise_retired", "Exercise retired"
    EXERCISE_BROUGHT_BACK = "exercise_brought_back", "Exercise brought back"
    RUBRIC_PUBLISHED = "rubric_published", "Rubric version published"
    RUBRIC_RENAMED = "rubric_renamed", "Rubric renamed"


class Change(NamedTuple):
    """One member that an act changed."""

    name: str
    before: Any
    after: Any


class AuditRow(models.Model):
    """One act; the database refuses to change or delete it, and its hash covers the row before.

    Nobody is linked by a constraint: the name as it was at that time stands in the row, and stays
    when an account goes.
    """

    number = models.PositiveBigIntegerField(
        primary_key=True, help_text="1 the first, then one more each, without a gap."
    )
    at = models.DateTimeField()
    school = models.ForeignKey(
        "coursework.School", models.PROTECT, related_name="+", null=True, blank=True
    )
    actor = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.DO_NOTHING,
        related_name="+",
        null=True,
        blank=True,
        db_constraint=False,
        help_text="Who did it; none where weldlog did it by itself.",
    )
    actor_name = models.TextField(blank=True, help_text="As it was at that time.")
    act = models.CharField(max_length=40)
    about_kind = models.CharField(max_length=40)
    about_key = models.CharField(max_length=64)
    about_name = models.TextField()
    before = models.TextField(blank=True, help_text="Changed members as JSON, the text hashed.")
    after = models.TextField(blank=True, help_text="Changed members as JSON, the text hashed.")
    reason = models.TextField(blank=True)
    request_id = models.CharField(max_length=64, blank=True)
    previous_hash = models.CharField(max_length=64, unique=True)
    hash = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["number"]
        indexes = [
            models.Index(fields=["school", "number"], name="audit_of_school"),
            models.Index(fields=["act", "about_kind", "about_key"], name="audit_about"),
        ]

    def __str__(self) -> str:
        return f"Audit row {self.number}"

    def get_act_display(self) -> str:
        """Return the act in words; one that this edition does not know as it is stored."""
        return Act(self.act).label if self.act in Act.values else self.act

    @property
    def changes(self) -> list[Change]:
        """The changed members by name: before and after, None where there was nothing."""
        before: dict[str, Any] = json.loads(self.before or "{}")
        after: dict[str, Any] = json.loads(self.after or "{}")
        names = {**before, **after}
        return [Change(name, before.get(name), after.get(name)) for name in names]
