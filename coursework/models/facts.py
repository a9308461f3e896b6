"""What a coupon states, in base units; the unit is in each name.

Column names are the members of the coupon document (see ``tests/contract``); a member of a group
is prefixed with the group: ``ac.en_percent`` is ``ac_en_percent``. ``None`` and the empty text
mean that nobody was asked.
"""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

PLAIN_MEMBERS = (
    "process",
    "transfer",
    "joint",
    "weld",
    "position",
    "work",
    "polarity",
    "shielding_gas",
    "gas_flow_l_min",
    "draught",
    "torch_angle_deg",
    "arc_length_mm",
    "nozzle_to_work_mm",
    "preheat_c",
    "crater_filled",
    "root_gap_mm",
    "air_c",
    "metal_c",
    "relative_humidity_percent",
    "arc_started_at",
    "minutes_since_cleaning",
    "covered_since_cleaning",
    "acceptance_set",
    "preflow_s",
    "postflow_s",
    "rod_used_mm",
    "stops",
    "tabs",
)
GROUP_MEMBERS = {
    "ac": ("en_percent", "frequency_hz", "en_current_a", "ep_current_a"),
    "tungsten": ("type", "diameter_mm", "touched_pool"),
    "service": ("above_65_c", "anodised_after", "heat_treated_after"),
    "fillet": ("nominal_leg_mm", "leg_1_mm", "leg_2_mm", "throat_mm", "convexity_mm"),
    "groove": ("angle_deg", "root_face_mm", "weld_width_mm", "excess_weld_metal_mm"),
}
RUN_MEMBERS = (
    "current_a",
    "voltage_v",
    "voltage_read",
    "wire_feed_mm_s",
    "arc_energy_kj",
    "mean_power_kw",
    "weld_length_mm",
    "arc_time_s",
    "travel_speed_mm_s",
    "interpass_c",
    "interpass_brushed",
)
METAL_MEMBERS = (
    "alloy",
    "temper",
    "thickness_mm",
    "stored",
    "coating",
    "edge",
    "edge_dressed_mm",
    "disc_condition",
)
STEP_MEMBERS = ("step", "at", "agent", "tool", "tool_kept_for", "pressure", "stroke", "minutes")
IMPERFECTION_MEMBERS = ("number", "size_mm", "length_mm", "count", "at_mm")
FILLER_MEMBERS = ("designation", "form", "diameter_mm", "condition")

type Document = dict[str, Any]


def word(length: int = 24) -> "models.CharField[str, str]":
    """Return a column for a word that may not have been asked for."""
    return models.CharField(max_length=length, blank=True, default="")


def measure() -> "models.FloatField[float | None, float | None]":
    """Return a column for a measured value that may not have been asked for."""
    return models.FloatField(null=True, blank=True)


def answer() -> "models.BooleanField[bool | None, bool | None]":
    """Return a column for a yes or no that may not have been asked for."""
    return models.BooleanField(null=True, blank=True)


def not_negative(*columns: str) -> Q:
    """Return the condition that none of these columns is negative."""
    condition = Q()
    for column in columns:
        condition &= Q(**{column: None}) | Q(**{f"{column}__gte": 0})
    return condition


def stated(row: models.Model, members: tuple[str, ...], prefix: str = "") -> Document:
    """Return the members of a row that were asked for, as they stand in the document."""
    pairs = ((name, getattr(row, prefix + name)) for name in members)
    return {
        name: value.isoformat() if hasattr(value, "isoformat") else value
        for name, value in pairs
        if value is not None and value != ""
    }


class CouponFacts(models.Model):
    """What a coupon stated when it was handed in, or after its first, second ... correction."""

    class FillerAnswer(models.TextChoices):
        NOT_ASKED = "", "not asked"
        NONE = "none", "welded without filler"
        USED = "used", "filler used"

    coupon = models.ForeignKey("coursework.Coupon", models.PROTECT, related_name="all_facts")
    number = models.PositiveSmallIntegerField(help_text="1 as handed in, then one a correction.")
    stated_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    stated_at = models.DateTimeField()
    typed = models.JSONField(default=dict, blank=True)
    arc_time_timed = models.BooleanField(
        null=True, blank=True, help_text="Timed with the stopwatch of the page, or typed."
    )
    reason = models.TextField(
        blank=True, default="", help_text="What the student says about an odd value."
    )

    process = models.CharField(max_length=4)
    transfer = word()
    joint = word()
    weld = word()
    position = word(2)
    work = word()
    polarity = word(4)
    shielding_gas = word()
    gas_flow_l_min = measure()
    draught = answer()
    torch_angle_deg = measure()
    arc_length_mm = measure()
    nozzle_to_work_mm = measure()
    preheat_c = measure()
    crater_filled = answer()
    root_gap_mm = measure()
    air_c = measure()
    metal_c = measure()
    relative_humidity_percent = measure()
    arc_started_at = models.DateTimeField(null=True, blank=True)
    minutes_since_cleaning = measure()
    covered_since_cleaning = answer()
    acceptance_set = word(40)
    preflow_s = measure()
    postflow_s = measure()
    rod_used_mm = measure()
    stops = models.PositiveSmallIntegerField(null=True, blank=True)
    tabs = answer()
    ac_en_percent = measure()
    ac_frequency_hz = measure()
    ac_en_current_a = measure()
    ac_ep_current_a = measure()
    tungsten_type = word()
    tungsten_diameter_mm = measure()
    tungsten_touched_pool = answer()
    service_above_65_c = answer()
    service_anodised_after = answer()
    service_heat_treated_after = answer()
    fillet_nominal_leg_mm = measure()
    fillet_leg_1_mm = measure()
    fillet_leg_2_mm = measure()
    fillet_throat_mm = measure()
    fillet_convexity_mm = measure()
    groove_angle_deg = measure()
    groove_root_face_mm = measure()
    groove_weld_width_mm = measure()
    groove_excess_weld_metal_mm = measure()
    filler_answer = models.CharField(
        max_length=4, choices=FillerAnswer.choices, blank=True, default=FillerAnswer.NOT_ASKED
    )
    filler_designation = word()
    filler_form = word()
    filler_diameter_mm = measure()
    filler_condition = word()
    cleaning_asked = models.BooleanField(default=False)
    imperfections_asked = models.BooleanField(default=False)

    class Meta:
        ordering = ["coupon", "number"]
        verbose_name_plural = "coupon facts"
        constraints = [
            models.UniqueConstraint(fields=["coupon", "number"], name="facts_number_once"),
            models.CheckConstraint(
                condition=Q(process__in=["GTAW", "GMAW"]), name="facts_known_process"
            ),
            models.CheckConstraint(
                condition=Q(filler_answer="used") & ~Q(filler_designation="")
                | Q(filler_answer__in=["", "none"], filler_designation=""),
                name="facts_filler_named_when_used",
            ),
            models.CheckConstraint(
                condition=not_negative(
                    "gas_flow_l_min", "fillet_leg_1_mm", "fillet_leg_2_mm", "filler_diameter_mm"
                ),
                name="facts_nothing_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.coupon}, facts {self.number}"

    def document(self) -> Document:
        """Return the coupon document that the engine reads."""
        document = stated(self, PLAIN_MEMBERS)
        for group, members in GROUP_MEMBERS.items():
            if found := stated(self, members, prefix=f"{group}_"):
                document[group] = found
        if metals := [stated(each, METAL_MEMBERS) for each in self.base_metals.all()]:
            document["base_metals"] = metals
        if self.filler_answer:
            used = self.filler_answer == self.FillerAnswer.USED
            document["filler"] = stated(self, FILLER_MEMBERS, prefix="filler_") if used else None
        if self.cleaning_asked:
            document["cleaning"] = [
                stated(each, STEP_MEMBERS) for each in self.cleaning_steps.all()
            ]
        if self.imperfections_asked:
            document["imperfections"] = [
                stated(each, IMPERFECTION_MEMBERS) for each in self.imperfections.all()
            ]
        return document | self._runs_document()

    def _runs_document(self) -> Document:
        """Return like runs as members of the coupon, unlike ones as a list."""
        runs = list(self.runs.all())
        if len(runs) > 1:
            return {"run_list": [stated(run, RUN_MEMBERS) for run in runs]}
        return {
            name: value
            for run in runs
            for name, value in (stated(run, RUN_MEMBERS) | {"runs": run.count}).items()
        }


class BaseMetal(models.Model):
    """One side of the joint; one row alone is the same metal on both sides."""

    facts = models.ForeignKey(CouponFacts, models.PROTECT, related_name="base_metals")
    side = models.PositiveSmallIntegerField()
    alloy = word()
    temper = word(12)
    thickness_mm = measure()
    stored = word()
    coating = word()
    edge = word()
    edge_dressed_mm = measure()
    disc_condition = word()

    class Meta:
        ordering = ["facts", "side"]
        constraints = [
            models.UniqueConstraint(fields=["facts", "side"], name="base_metal_side_once"),
            models.CheckConstraint(condition=Q(side__in=[1, 2]), name="base_metal_two_sides"),
            models.CheckConstraint(
                condition=Q(thickness_mm=None) | Q(thickness_mm__gt=0),
                name="base_metal_thickness_above_zero",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.alloy}-{self.temper}" if self.temper else self.alloy


class Run(models.Model):
    """One run, or several like ones (``count``); the values are those of one run."""

    facts = models.ForeignKey(CouponFacts, models.PROTECT, related_name="runs")
    place = models.PositiveSmallIntegerField()
    count = models.PositiveSmallIntegerField(default=1)
    current_a = measure()
    voltage_v = measure()
    voltage_read = word()
    wire_feed_mm_s = measure()
    arc_energy_kj = measure()
    mean_power_kw = measure()
    weld_length_mm = measure()
    arc_time_s = measure()
    travel_speed_mm_s = measure()
    interpass_c = measure()
    interpass_brushed = answer()

    class Meta:
        ordering = ["facts", "place"]
        constraints = [
            models.UniqueConstraint(fields=["facts", "place"], name="run_place_once"),
            models.CheckConstraint(condition=Q(count__gte=1), name="run_count_from_one"),
            models.CheckConstraint(
                condition=not_negative(
                    "current_a", "voltage_v", "weld_length_mm", "arc_time_s", "travel_speed_mm_s"
                ),
                name="run_nothing_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"Run {self.place}"


class CleaningStep(models.Model):
    """One cleaning step; ``place`` is the order in which the steps were done."""

    facts = models.ForeignKey(CouponFacts, models.PROTECT, related_name="cleaning_steps")
    place = models.PositiveSmallIntegerField()
    step = models.CharField(max_length=16)
    at = models.DateTimeField(null=True, blank=True)
    agent = word()
    tool = word()
    tool_kept_for = word()
    pressure = word()
    stroke = word()
    minutes = measure()

    class Meta:
        ordering = ["facts", "place"]
        constraints = [
            models.UniqueConstraint(fields=["facts", "place"], name="cleaning_step_place_once")
        ]

    def __str__(self) -> str:
        return f"{self.place} {self.step}"


class Imperfection(models.Model):
    """One imperfection that the student saw, by its ISO 6520-1 number."""

    facts = models.ForeignKey(CouponFacts, models.PROTECT, related_name="imperfections")
    place = models.PositiveSmallIntegerField()
    number = models.CharField(max_length=8)
    size_mm = measure()
    length_mm = measure()
    count = models.PositiveSmallIntegerField(null=True, blank=True)
    at_mm = measure()

    class Meta:
        ordering = ["facts", "place"]
        constraints = [
            models.UniqueConstraint(fields=["facts", "place"], name="imperfection_place_once"),
            models.CheckConstraint(
                condition=not_negative("size_mm", "length_mm", "at_mm"),
                name="imperfection_nothing_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.number
