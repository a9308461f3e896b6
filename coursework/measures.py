"""How the members of a coupon are called and how their values are written, with their units."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.choices import WORDS, words_of
from coursework.forms.coupon_members import MEMBERS
from coursework.models.facts import Document
from coursework.templatetags.weldlog_tags import significant
from weldlog.engine import units

LABELS: dict[str, Any] = {
    "process": gettext_lazy("process"),
    "alloy": gettext_lazy("alloy"),
    "temper": gettext_lazy("temper"),
    "thickness_mm": gettext_lazy("thickness"),
    "base_metals": gettext_lazy("metal"),
    "filler": gettext_lazy("filler"),
    "filler.designation": gettext_lazy("filler"),
    "filler.diameter_mm": gettext_lazy("filler diameter"),
    "filler.condition": gettext_lazy("filler was"),
    "polarity": gettext_lazy("polarity"),
    "ac.en_percent": gettext_lazy("AC balance, EN"),
    "ac.frequency_hz": gettext_lazy("AC frequency"),
    "current_a": gettext_lazy("current"),
    "voltage_v": gettext_lazy("arc volts"),
    "voltage_read": gettext_lazy("volts read"),
    "wire_feed_mm_s": gettext_lazy("wire feed"),
    "shielding_gas": gettext_lazy("gas"),
    "gas_flow_l_min": gettext_lazy("gas flow"),
    "arc_time_s": gettext_lazy("arc time"),
    "weld_length_mm": gettext_lazy("weld length"),
    "travel_speed_mm_s": gettext_lazy("travel speed"),
    "arc_energy_kj": gettext_lazy("energy shown"),
    "mean_power_kw": gettext_lazy("mean power shown"),
    "arc_energy_kj_mm": gettext_lazy("arc energy"),
    "heat_input_kj_mm": gettext_lazy("heat input"),
    "cleaning": gettext_lazy("cleaning"),
    "arc_started_at": gettext_lazy("arc started"),
    "crater_filled": gettext_lazy("crater filled"),
    "tungsten.type": gettext_lazy("tungsten"),
    "tungsten.diameter_mm": gettext_lazy("tungsten diameter"),
    "tungsten.touched_pool": gettext_lazy("tungsten touched the pool"),
    "torch_angle_deg": gettext_lazy("travel angle"),
    "arc_length_mm": gettext_lazy("arc length"),
    "nozzle_to_work_mm": gettext_lazy("nozzle to work"),
    "transfer": gettext_lazy("metal transfer"),
    "runs": gettext_lazy("runs"),
    "stops": gettext_lazy("stops"),
    "draught": gettext_lazy("draft"),
    "preheat_c": gettext_lazy("preheat"),
    "interpass_c": gettext_lazy("interpass temperature"),
    "interpass_brushed": gettext_lazy("brushed between runs"),
    "air_c": gettext_lazy("air"),
    "metal_c": gettext_lazy("metal temperature"),
    "relative_humidity_percent": gettext_lazy("humidity"),
    "root_gap_mm": gettext_lazy("root gap"),
    "fillet.leg_1_mm": gettext_lazy("leg on the upright plate"),
    "fillet.leg_2_mm": gettext_lazy("leg on the flat plate"),
    "fillet.nominal_leg_mm": gettext_lazy("leg wanted"),
    "groove.weld_width_mm": gettext_lazy("width of the cap"),
    "groove.excess_weld_metal_mm": gettext_lazy("height of the cap"),
    "groove.angle_deg": gettext_lazy("groove angle"),
    "imperfections": gettext_lazy("what was seen"),
    "preflow_s": gettext_lazy("pre-flow"),
    "postflow_s": gettext_lazy("post-flow"),
    "tabs": gettext_lazy("run-on and run-off tabs"),
    "rod_used_mm": gettext_lazy("rod used"),
    "preheat_minutes": gettext_lazy("preheat time"),
    "minutes_since_cleaning": gettext_lazy("time since cleaning"),
    "covered_since_cleaning": gettext_lazy("covered since cleaning"),
    "back_side_cleaned": gettext_lazy("back side cleaned"),
    "gloves_clean": gettext_lazy("clean gloves"),
    "steel_work_nearby": gettext_lazy("steel work nearby"),
    "purged": gettext_lazy("hose and torch purged"),
    "contact_tip_bore_mm": gettext_lazy("bore of the contact tip"),
    "weave_mm": gettext_lazy("width of weave"),
    "mismatch_mm": gettext_lazy("mismatch of the plates"),
    "plate_length_mm": gettext_lazy("plate length"),
    "plate_width_mm": gettext_lazy("plate width"),
    "work_angle_deg": gettext_lazy("work angle"),
    "penetrant": gettext_lazy("penetrant test"),
    "service": gettext_lazy("what the part is for"),
    "service.above_65_c": gettext_lazy("service above 65 °C"),
    "service.anodised_after": gettext_lazy("anodized afterwards"),
    "service.heat_treated_after": gettext_lazy("heat treated afterwards"),
    "stored": gettext_lazy("how the stock was kept"),
    "coating": gettext_lazy("coating"),
    "edge": gettext_lazy("how the edge was cut"),
    "edge_dressed_mm": gettext_lazy("how much was dressed off"),
    "disc_condition": gettext_lazy("cutting disc"),
    "filler.form": gettext_lazy("rod or spool"),
    "wire_feed_path": gettext_lazy("wire feed path"),
    "wire_feed_path.feeder": gettext_lazy("feeder"),
    "wire_feed_path.cable_m": gettext_lazy("length of the gun cable"),
    "wire_feed_path.rolls": gettext_lazy("drive rolls"),
    "wire_feed_path.liner": gettext_lazy("liner"),
    "fillet.throat_mm": gettext_lazy("throat"),
    "fillet.convexity_mm": gettext_lazy("convexity"),
    "groove.root_face_mm": gettext_lazy("root face"),
    "joint": gettext_lazy("joint"),
    "position": gettext_lazy("position"),
}

# Units that pages name otherwise than the engine does.
ENGINE_NAMES = {"CFH": "ft3/h"}
# Suffix of a member's name, the unit of the value, and the shop unit shown beside it.
SUFFIXES = (
    ("_mm3_per_a_s", "mm³/(A s)", "", 2),
    ("_mm2", "mm²", "in²", 3),
    ("_rise_upper_bound_k", "°C more", "°F more", 2),
    ("_kj_mm", "kJ/mm", "kJ/in", 3),
    ("_mm_s", "mm/s", "in/min", 2),
    ("_l_min", "L/min", "CFH", 2),
    ("_mm", "mm", "in", 3),
    ("_kj", "kJ", "", 3),
    ("_kw", "kW", "", 3),
    ("_deg", "°", "", 2),
    ("_hz", "Hz", "", 3),
    ("_percent", "%", "", 3),
    ("_a", "A", "", 3),
    ("_v", "V", "", 3),
    ("_s", "s", "", 3),
    ("_c", "°C", "°F", 3),
)


def label_of(member: str) -> str:
    """Return what a member of the coupon is called on a page."""
    bare = member.removeprefix("base_metals.").lstrip("0123456789.[]")
    return str(LABELS.get(member) or LABELS.get(bare) or bare.replace("_", " ").replace(".", ", "))


def units_of(member: str) -> tuple[str, str]:
    """Return the metric unit of a member and its shop unit (or nothing)."""
    return next((unit, shop) for suffix, unit, shop, _n in SUFFIXES if member.endswith(suffix))


def in_unit(value: float, metric: str, unit: str) -> float:
    """Return a value in another unit of the same kind, as pages name it."""
    return value if unit == metric else units.convert(value, metric, ENGINE_NAMES.get(unit, unit))


def asked(member: str) -> bool:
    """Whether the form for a coupon asks for a member, or for something in it."""
    bare = member.partition("[")[0].replace("base_metals.", "base_metals.0.")
    paths = {each.path for each in MEMBERS} | {"cleaning", "imperfections", "arc_started_at"}
    return bare in paths or any(path.startswith(f"{bare}.") for path in paths)


def with_unit(member: str, value: float) -> tuple[str, str]:
    """Return a number with its unit, and the same in the shop unit (or nothing)."""
    for suffix, unit, shop, figures in SUFFIXES:
        if member.endswith(suffix):
            other = in_unit(value, unit, shop) if shop else None
            return (
                f"{value:g}\u00a0{unit}"
                if abs(value) >= 1000
                else f"{_short(value, figures)}\u00a0{unit}",
                "" if other is None else f"{significant(other, 2)}\u00a0{shop}",
            )
    return f"{value:g}", ""


def _short(value: float, figures: int) -> str:
    """Write a measured value as it is read, without digits that nobody measured."""
    text = significant(value, figures)
    return text.rstrip("0").rstrip(".") if "." in text else f"{value:g}"


def shown(member: str, value: Any, typed: Mapping[str, Mapping[str, str]] | None = None) -> str:
    """Return a value for a page: as it was typed where that is known."""
    entry = (typed or {}).get(member)
    if entry:
        unit = "" if entry.get("unit") == "min:s" else entry.get("unit", "")
        return f"{entry['text']}\u00a0{unit}".rstrip()
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, int | float):
        return with_unit(member, value)[0]
    if member == "arc_started_at":
        return f"{localtime(datetime.fromisoformat(str(value))):%H:%M}"
    last = member.rsplit(".", 1)[-1]
    word = "tungsten_type" if member == "tungsten.type" else last
    return words_of(word, str(value)) if word in WORDS else str(value)


def value_in(document: Document, member: str) -> Any:
    """Return the value that a finding or figure rests on, or None."""
    found: Any = document
    for part in member.replace("[", ".").replace("]", "").split("."):
        if isinstance(found, list):
            found = (
                found[int(part)]
                if part.isdigit() and int(part) < len(found)
                else (found[0].get(part) if found and isinstance(found[0], dict) else None)
            )
        elif isinstance(found, dict):
            found = found.get(part)
        else:
            return None
    return found
