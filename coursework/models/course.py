"""Course plans: exercises and the window that each aims at."""

from django.db import models
from django.db.models import F, Q


class CoursePlan(models.Model):
    """The exercises of a course, in the order in which they are taught."""

    school = models.ForeignKey("coursework.School", models.PROTECT, related_name="plans")
    code = models.CharField(max_length=20)
    title = models.CharField(max_length=120)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["school", "code"], name="plan_code_once_a_school")
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.title}"


class Exercise(models.Model):
    """What is practised: joint, position, metal, filler, and how many good coupons are wanted."""

    class CheckTest(models.TextChoices):
        NONE = "", "none"
        VISUAL = "visual", "visual"
        SAW = "saw", "saw cut"
        BREAK = "break", "break test"
        BEND = "bend", "bend test"
        MACRO = "macro", "macro"
        PENETRANT = "penetrant", "dye penetrant"

    plan = models.ForeignKey(CoursePlan, models.PROTECT, related_name="exercises")
    place = models.PositiveSmallIntegerField()
    title = models.CharField(max_length=80)
    process = models.CharField(max_length=4)
    joint = models.CharField(max_length=16)
    weld = models.CharField(max_length=16)
    position = models.CharField(max_length=2)
    alloy = models.CharField(max_length=24)
    temper = models.CharField(max_length=12, blank=True)
    thickness_mm = models.FloatField()
    filler = models.CharField(
        max_length=24, blank=True, help_text="Blank where the exercise is done without filler."
    )
    nominal_leg_mm = models.FloatField(null=True, blank=True)
    good_coupons_wanted = models.PositiveSmallIntegerField(default=3)
    check_test = models.CharField(max_length=12, choices=CheckTest.choices, blank=True)
    due_week = models.PositiveSmallIntegerField(null=True, blank=True)
    acceptance_set = models.CharField(max_length=40, blank=True, default="")
    in_a_row_wanted = models.PositiveSmallIntegerField(
        default=1, help_text="How many of the good coupons must follow one another."
    )
    retired_at = models.DateTimeField(
        null=True, blank=True, help_text="Replaced or taken out; its coupons stay."
    )
    rubric = models.ForeignKey("coursework.Rubric", models.PROTECT, related_name="exercises")

    class Meta:
        ordering = ["plan", "place"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "place"],
                condition=Q(retired_at=None),
                name="exercise_place_once_a_plan",
            ),
            models.CheckConstraint(
                condition=Q(process__in=["GTAW", "GMAW"]), name="exercise_known_process"
            ),
            models.CheckConstraint(condition=Q(thickness_mm__gt=0), name="exercise_has_thickness"),
            models.CheckConstraint(
                condition=Q(good_coupons_wanted__gte=1), name="exercise_wants_a_coupon"
            ),
            models.CheckConstraint(
                condition=Q(in_a_row_wanted__gte=1, in_a_row_wanted__lte=F("good_coupons_wanted")),
                name="exercise_in_a_row_at_most_those_wanted",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.place} {self.title}"

    @property
    def metal(self) -> str:
        """Alloy and temper as they are spoken, such as 6061-T6."""
        return f"{self.alloy}-{self.temper}" if self.temper else self.alloy


class TargetWindow(models.Model):
    """The range that one figure of an exercise is to stay in; base units, as the name says."""

    class Figure(models.TextChoices):
        TRAVEL_SPEED = "travel_speed_mm_s", "Travel speed"
        ARC_ENERGY = "arc_energy_kj_mm", "Arc energy"
        HEAT_INPUT = "heat_input_kj_mm", "Heat input"
        CURRENT = "current_a", "Current"
        GAS_FLOW = "gas_flow_l_min", "Argon flow"
        LEG = "leg_mm", "Leg"

    exercise = models.ForeignKey(Exercise, models.CASCADE, related_name="windows")
    figure = models.CharField(max_length=24, choices=Figure.choices)
    low = models.FloatField()
    high = models.FloatField()

    class Meta:
        ordering = ["exercise", "figure"]
        constraints = [
            models.UniqueConstraint(fields=["exercise", "figure"], name="window_once_a_figure"),
            models.CheckConstraint(
                condition=Q(low__gte=0, high__gt=F("low")), name="window_low_below_high"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_figure_display()} {self.low:g} to {self.high:g}"
