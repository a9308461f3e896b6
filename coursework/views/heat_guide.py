"""Arc energy and heat input from a few readings, live; open to everybody."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.vary import vary_on_headers

from coursework.forms.heat_guide import HeatGuideForm
from coursework.measures import label_of
from coursework.models import Finding, User
from coursework.models.facts import Document
from coursework.templatetags.weldlog_tags import significant
from coursework.wording import STANDINGS, figures, finding_card
from weldlog.engine.alloys import ALLOYS, Alloy
from weldlog.engine.conduction import softened_band_mm
from weldlog.engine.electrics import tungsten_share
from weldlog.engine.facts import read
from weldlog.engine.guide_tables import PREHEAT_CAPS
from weldlog.engine.heat import BULK_RISE, SOFTENED_ZONE, THERMAL_EFFICIENCY
from weldlog.engine.review import review
from weldlog.engine.sources import SOURCES

FIGURES = ("travel_speed_mm_s", "arc_energy_kj_mm", "heat_input_kj_mm")
HOW = ("energy_method", "thermal_efficiency")
GAPS = {"travel speed", "arc energy and heat input"}
SPOKEN = ("entry-", "heat-")
# Who calls volts times amps over speed what, and the source of that.
NAMING = (
    (_("EN 1011-1, EN ISO 15614-1"), _("arc energy"), _("times k: heat input"), "heat-S3"),
    (_("ASME IX, QW-409.1"), _("heat input"), _("not multiplied"), "heat-S6"),
    (_("AWS D1.5"), _("heat input"), _("not multiplied"), "heat-S9"),
    (_("AWS D1.1"), _("heat input"), _("not multiplied"), "memory-aws-d1-1"),
)


def source_of(key: str) -> dict[str, Any]:
    """Return a source and its standing in words."""
    return {"source": SOURCES[key], "standing": STANDINGS[SOURCES[key].standing]}


def naming() -> list[dict[str, Any]]:
    """Return the table of names for the template."""
    return [
        {"where": where, "name": name, "with_factor": with_factor, **source_of(key)}
        for where, name, with_factor, key in NAMING
    ]


def factor(process: str) -> dict[str, Any]:
    """Return the thermal efficiency of a process and where it comes from."""
    efficiency = THERMAL_EFFICIENCY[process]
    return {"process": process, "k": efficiency.value, **source_of(efficiency.source)}


def card(said: Mapping[str, Any], document: Document) -> dict[str, Any]:
    """Return a finding of the review for ``{% finding %}``."""
    stored = ("rule", "severity", "says", "fields", "source", "values")
    return finding_card(Finding(**{name: said[name] for name in stored}), document, {})


def softened(metal: Document) -> Alloy | None:
    """Return the alloy of the plate where it is one whose T6 temper the weld undoes."""
    alloy = ALLOYS.get(metal.get("alloy", ""))
    return alloy if alloy and alloy.series == "6xxx" and metal.get("temper") == "T6" else None


def left_beside(alloy: Alloy) -> dict[str, Any] | None:
    """Return what is left of the strength of an alloy beside the weld, where it is known."""
    if alloy.haz_uts_mpa is None:
        return None
    return {
        "alloy": alloy.designation,
        "haz": f"{alloy.haz_uts_mpa:g}",
        "base": f"{alloy.typical_uts_mpa:g}",
        "sources": (*alloy.sources["haz"], *alloy.sources["strength"]),
    }


def of_the_plate(readings: Document, said: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the heat may have done to the plate, as far as it is known."""
    metal = readings.get("base_metals", [{}])[0]
    alloy = softened(metal)
    rise = said["figures"].get("bulk_rise_upper_bound_k")
    spoken_of = {each["rule"] for each in said["findings"]}
    if rise is None or BULK_RISE.id in spoken_of or "process" not in readings:
        rise_text = None
    else:
        rise_text = {"celsius": significant(rise, 2), "fahrenheit": significant(1.8 * rise, 2)}
    balance = readings.get("ac", {}).get("en_percent")
    return {
        "left": left_beside(alloy) if alloy else None,
        "rise": rise_text,
        "tungsten": balance and f"{100 * tungsten_share(balance / 100):.0f}",
        "balance": balance and f"{balance:g}",
        "alloy": alloy,
        "thickness_mm": metal.get("thickness_mm"),
    }


def band(found: Mapping[str, Any], user: object) -> dict[str, str] | None:
    """Return how far the soft zone may reach, for instructors alone: an order of magnitude."""
    may_see = isinstance(user, User) and user.is_instructor
    energy, thickness = found["arc_energy_kj_mm"], found["plate"]["thickness_mm"]
    if not (may_see and energy and thickness and found["plate"]["alloy"]):
        return None
    least, most = softened_band_mm(energy, thickness)
    return {
        "mm": "–".join(significant(each, 1) for each in (least, most)),
        "inch": "–".join(significant(each / 25.4, 1) for each in (least, most)),
    }


def answer(readings: Document) -> dict[str, Any]:
    """Return figures, flags and what is lacking, for the template.

    The arc energy is the same for every process: without one, only what needs it is left out.
    """
    process = readings.get("process")
    said = review(read({"process": "GTAW"} | readings)).as_json()
    worked_out = {name: said["figures"][name] for name in FIGURES + HOW}
    lacking = [(gap["what"], gap["missing"]) for gap in said["not_assessed"] if gap["what"] in GAPS]
    spoken = [each for each in said["findings"] if each["rule"].startswith(SPOKEN)]
    if process is None:
        spoken = [each for each in spoken if each["rule"] == SOFTENED_ZONE.id]
        if worked_out.pop("heat_input_kj_mm"):
            lacking.append((_("heat input"), ["process"]))
    kept = {"process", "travel_speed_mm_s"}
    document = {name: value for name, value in readings.items() if name in kept}
    return {
        "figures": figures(worked_out, document, []),
        "lacking": [(what, ", ".join(map(label_of, missing))) for what, missing in lacking],
        "cards": [card(each, readings) for each in spoken],
        "factor": factor(process) if process else None,
        "arc_energy_kj_mm": said["figures"]["arc_energy_kj_mm"],
        "plate": of_the_plate(readings, said),
    }


@login_not_required
@vary_on_headers("HX-Request")
def view(request: HttpRequest) -> HttpResponse:
    form = HeatGuideForm(request.GET or None)
    found = None
    if form.is_valid() and (readings := form.document()):
        found = answer(readings)
        found["band"] = band(found, request.user)
    part = "#answer" if request.headers.get("HX-Request") else ""
    return render(
        request,
        f"coursework/heat_guide.html{part}",
        {
            "form": form,
            "found": found,
            "naming": naming(),
            "factors": [*map(factor, THERMAL_EFFICIENCY)],
            "caps": PREHEAT_CAPS,
        },
        status=422 if form.errors else 200,
    )
