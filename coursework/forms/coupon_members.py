"""The members of the coupon document that the form asks for, each with its field."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

from django import forms
from django.utils.translation import gettext_lazy as _

from coursework.choices import (
    NO_FILLER,
    NOT_LOGGED,
    Choices,
    alloy_choices,
    choices,
    filler_choices,
)
from coursework.forms.fields import MeasureField, WholeNumberField
from coursework.models import Exercise
from coursework.models.facts import Document

type FieldMaker = Callable[[bool], forms.Field]


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One member of the coupon document and the field that asks for it.

    Parameters
    ----------
    path : str
        Where it stands: ``ac.en_percent``; ``base_metals.0.alloy`` for one side of the joint.
    part : str
        The part of the form that shows it.
    make : callable
        Makes the field; takes whether millimeters are chosen at first.
    process, weld : str
        Where the member only belongs to one process or one kind of weld.
    carry : str
        ``exercise``: carried over from the last coupon of the same exercise; ``machine``: from the
        last of the same process; empty: never, as for everything that is measured.
    target : str
        Attribute of the exercise that it starts from.
    """

    path: str
    part: str
    make: FieldMaker
    process: str = ""
    weld: str = ""
    carry: Literal["", "exercise", "machine"] = ""
    target: str = ""

    @property
    def name(self) -> str:
        """The name of the form field."""
        names = {
            "filler.designation": "filler",
            "base_metals.0.alloy": "alloy",
            "base_metals.0.temper": "temper",
        }
        return names.get(self.path, self.path.replace("base_metals.", "metal_").replace(".", "_"))

    def applies(self, exercise: Exercise) -> bool:
        """Whether the exercise asks for it."""
        return self.process in ("", exercise.process) and self.weld in ("", exercise.weld)

    def value_in(self, document: Document) -> Any:
        """Return the value that a document states, or None."""
        found: Any = document
        for step in self.path.split("."):
            if isinstance(found, list):
                found = found[int(step)] if int(step) < len(found) else None
            else:
                found = (found or {}).get(step)
            if found is None:
                return None
        return found

    def place(self, document: Document, metals: list[Document], value: Any) -> None:
        """Put a value where it stands in the document."""
        head, *rest = self.path.split(".")
        if head == "base_metals":
            metals[int(rest[0])][rest[1]] = value
        elif head == "filler" and rest == ["designation"] and value == NO_FILLER:
            return
        elif rest:
            document.setdefault(head, {})[rest[0]] = value
        else:
            document[head] = value


def measured(
    label: Any, quantity: str, shop: str = "", metric: str = "", **kwargs: Any
) -> FieldMaker:
    """Return a maker of number fields; ``shop`` and ``metric`` are the units chosen at first."""
    return lambda metric_first: MeasureField(
        quantity, label=label, unit=metric if metric_first else shop, **kwargs
    )


def chosen(label: Any, word: str, hint: Any = "") -> FieldMaker:
    """Return a maker of select fields with the words for one member."""
    return lambda _metric: forms.ChoiceField(
        label=label, choices=choices(word, str(NOT_LOGGED)), required=False, help_text=hint
    )


def yes_or_no(label: Any, hint: Any = "") -> FieldMaker:
    """Return a maker of yes, no or not answered."""
    return lambda _metric: forms.TypedChoiceField(
        label=label,
        help_text=hint,
        choices=[("", NOT_LOGGED), ("yes", _("yes")), ("no", _("no"))],
        coerce=lambda value: value == "yes",
        empty_value=None,
        required=False,
    )


def listed(label: Any, options: Callable[[str], Choices], blank: Any) -> FieldMaker:
    """Return a maker of select fields over a table of the engine."""
    return lambda _metric: forms.ChoiceField(
        label=label, choices=options(str(blank)), required=False
    )


def text(label: Any, length: int) -> FieldMaker:
    """Return a maker of short text fields."""
    return lambda _metric: forms.CharField(label=label, max_length=length, required=False)


def counted(label: Any, low: int, hint: Any = "") -> FieldMaker:
    """Return a maker of whole-number fields."""
    return lambda _metric: WholeNumberField(label=label, low=low, help_text=hint)


MEMBERS = (
    Member(path="base_metals.0.alloy", part="metal", carry="exercise", target="alloy",
           make=listed(_("Alloy"), alloy_choices, _("choose"))),
    Member(path="base_metals.0.temper", part="metal", carry="exercise", target="temper",
           make=text(_("Temper"), 12)),
    Member(path="base_metals.0.thickness_mm", part="metal", carry="exercise", target="thickness_mm",
           make=measured(_("Thickness"), "length", "mm", "mm", above_zero=True)),
    Member(path="filler.designation", part="metal", carry="exercise",
           make=listed(_("Filler"), filler_choices, _("choose"))),
    Member(path="filler.diameter_mm", part="metal", carry="exercise",
           make=measured(_("Filler diameter"), "length", "mm", "mm", above_zero=True)),
    Member(path="filler.condition", part="metal", make=chosen(_("Filler was"), "condition")),
    Member(path="base_metals.1.alloy", part="more_metal", carry="exercise",
           make=listed(_("Other side, alloy"), alloy_choices, _("the same"))),
    Member(path="base_metals.1.thickness_mm", part="more_metal", carry="exercise",
           make=measured(_("Other side, thickness"), "length", "mm", "mm", above_zero=True)),
    Member(path="base_metals.0.stored", part="more_metal",
           make=chosen(_("Stock was kept"), "stored")),
    Member(path="base_metals.0.coating", part="more_metal", make=chosen(_("Surface"), "coating")),
    Member(path="base_metals.0.edge", part="more_metal", make=chosen(_("Edge was"), "edge")),
    Member(path="base_metals.0.edge_dressed_mm", part="more_metal",
           make=measured(_("Dressed off the edge"), "length", "mm", "mm")),
    Member(path="base_metals.0.disc_condition", part="more_metal",
           make=chosen(_("Cutting disc was"), "disc_condition")),
    Member(path="filler.form", part="more_metal", carry="exercise",
           make=chosen(_("Filler came as"), "form")),
    Member(path="polarity", part="set_up", carry="machine", make=chosen(_("Polarity"), "polarity")),
    Member(path="current_a", part="set_up", make=measured(_("Current"), "current", step="5")),
    Member(path="voltage_v", part="set_up", make=measured(_("Arc volts"), "voltage", step="0.5")),
    Member(path="voltage_read", part="set_up", carry="machine",
           make=chosen(_("Volts read"), "voltage_read")),
    Member(path="wire_feed_mm_s", part="set_up", process="GMAW",
           make=measured(_("Wire feed"), "wire_feed", "in/min", "m/min")),
    Member(path="shielding_gas", part="set_up", carry="machine",
           make=chosen(_("Gas"), "shielding_gas")),
    Member(path="gas_flow_l_min", part="set_up",
           make=measured(_("Gas flow"), "gas_flow", "CFH", "L/min")),
    Member(path="ac.en_percent", part="set_up", process="GTAW", carry="machine",
           make=measured(_("AC balance, electrode negative"), "en_percent",
                         help_text=_("Some machines show the positive share instead."))),
    Member(path="transfer", part="set_up", process="GMAW", carry="machine",
           make=chosen(_("Metal transfer"), "transfer")),
    Member(path="ac.frequency_hz", part="more_set_up", process="GTAW", carry="machine",
           make=measured(_("AC frequency"), "frequency")),
    Member(path="tungsten.type", part="more_set_up", process="GTAW", carry="machine",
           make=chosen(_("Tungsten"), "tungsten_type")),
    Member(path="tungsten.diameter_mm", part="more_set_up", process="GTAW", carry="machine",
           make=measured(_("Tungsten diameter"), "length", "mm", "mm", above_zero=True)),
    Member(path="torch_angle_deg", part="more_set_up",
           make=measured(_("Travel angle"), "angle", signed=True,
                         help_text=_("Positive when pushing, negative when dragging."))),
    Member(path="arc_length_mm", part="more_set_up", process="GTAW",
           make=measured(_("Arc length"), "length", "mm", "mm")),
    Member(path="nozzle_to_work_mm", part="more_set_up", process="GMAW",
           make=measured(_("Nozzle to work"), "length", "mm", "mm")),
    Member(path="preheat_c", part="more_set_up",
           make=measured(_("Preheat"), "temperature", signed=True)),
    Member(path="draught", part="more_set_up", make=yes_or_no(_("Draft in the booth"))),
    Member(path="air_c", part="more_set_up",
           make=measured(_("Air temperature"), "temperature", signed=True)),
    Member(path="metal_c", part="more_set_up",
           make=measured(_("Metal temperature"), "temperature", signed=True)),
    Member(path="relative_humidity_percent", part="more_set_up",
           make=measured(_("Relative humidity"), "percent")),
    Member(path="arc_time_s", part="weld",
           make=measured(_("Arc time"), "time", help_text=_("Of one run. 1:33 works too."))),
    Member(path="weld_length_mm", part="weld",
           make=measured(_("Weld length"), "length", "in", "mm")),
    Member(path="crater_filled", part="weld", make=yes_or_no(_("Crater filled"))),
    Member(path="travel_speed_mm_s", part="more_weld",
           make=measured(_("Travel speed"), "speed", "in/min", "mm/min",
                         help_text=_("Only if read. Else it follows from length and time."))),
    Member(path="runs", part="more_weld", make=counted(_("Runs"), 1, _("How many like runs."))),
    Member(path="arc_energy_kj", part="more_weld",
           make=measured(_("Energy shown by the machine"), "energy")),
    Member(path="mean_power_kw", part="more_weld",
           make=measured(_("Mean power shown by the machine"), "power")),
    Member(path="interpass_c", part="more_weld",
           make=measured(_("Interpass temperature"), "temperature", signed=True)),
    Member(path="interpass_brushed", part="more_weld",
           make=yes_or_no(_("Brushed between runs"))),
    Member(path="stops", part="more_weld", make=counted(_("Stops and restarts"), 0)),
    Member(path="tungsten.touched_pool", part="more_weld", process="GTAW",
           make=yes_or_no(_("Tungsten touched the pool"))),
    Member(path="root_gap_mm", part="more_weld",
           make=measured(_("Gap at the root"), "length", "mm", "mm")),
    Member(path="fillet.leg_1_mm", part="size", weld="fillet",
           make=measured(_("Leg on the upright plate"), "length", "mm", "mm")),
    Member(path="fillet.leg_2_mm", part="size", weld="fillet",
           make=measured(_("Leg on the flat plate"), "length", "mm", "mm")),
    Member(path="groove.weld_width_mm", part="size", weld="v_groove",
           make=measured(_("Width of the cap"), "length", "mm", "mm")),
    Member(path="groove.excess_weld_metal_mm", part="size", weld="v_groove",
           make=measured(_("Height of the cap"), "length", "mm", "mm")),
    Member(path="groove.angle_deg", part="size", weld="v_groove",
           make=measured(_("Groove angle"), "angle")),
)  # fmt: skip
