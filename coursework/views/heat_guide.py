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
from coursework.models import Finding
from coursework.models.facts import Document
from coursework.wording import STANDINGS, figures, finding_card
from weldlog.engine.facts import read
from weldlog.engine.heat import THERMAL_EFFICIENCY
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
        spoken = []
        if worked_out.pop("heat_input_kj_mm"):
            lacking.append((_("heat input"), ["process"]))
    kept = {"process", "travel_speed_mm_s"}
    document = {name: value for name, value in readings.items() if name in kept}
    return {
        "figures": figures(worked_out, document, []),
        "lacking": [(what, ", ".join(map(label_of, missing))) for what, missing in lacking],
        "cards": [card(each, readings) for each in spoken],
        "factor": factor(process) if process else None,
    }


@login_not_required
@vary_on_headers("HX-Request")
def view(request: HttpRequest) -> HttpResponse:
    form = HeatGuideForm(request.GET or None)
    found = None
    if form.is_valid() and (readings := form.document()):
        found = answer(readings)
    part = "#answer" if request.headers.get("HX-Request") else ""
    return render(
        request,
        f"coursework/heat_guide.html{part}",
        {"form": form, "found": found, "naming": naming()},
        status=422 if form.errors else 200,
    )
