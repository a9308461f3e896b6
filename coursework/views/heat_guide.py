"""Arc energy and heat input from a few readings, live; open to everybody."""

from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from coursework.forms.heat_guide import HeatGuideForm
from coursework.measures import label_of
from coursework.models.facts import Document
from coursework.wording import STANDINGS, figures
from weldlog.engine.facts import read
from weldlog.engine.heat import THERMAL_EFFICIENCY
from weldlog.engine.review import review
from weldlog.engine.sources import source

SHOWN = ("travel_speed_mm_s", "arc_energy_kj_mm", "heat_input_kj_mm")


def answer(document: Document, *, pulsed: bool) -> dict[str, Any]:
    """Return figures, what is lacking and the factor used, for the template."""
    said = review(read(document)).as_json()
    process = document["process"]
    factor = THERMAL_EFFICIENCY[process]
    behind = source(factor.source)
    gaps = [
        each for each in said["not_assessed"] if "energy" in each["what"] or "speed" in each["what"]
    ]
    return {
        "figures": figures(
            {name: said["figures"][name] for name in SHOWN},
            {"process": process}
            | {name: value for name, value in document.items() if name == "travel_speed_mm_s"},
            [],
        )
        if said["figures"]["arc_energy_kj_mm"] or said["figures"]["travel_speed_mm_s"]
        else [],
        "lacking": [
            (each["what"], ", ".join(label_of(name) for name in each["missing"])) for each in gaps
        ],
        "factor": factor.value,
        "factor_source": behind.title,
        "factor_standing": STANDINGS[behind.standing],
        "process": process,
        "averaged": pulsed and said["figures"]["energy_method"] == "averages",
        "questions": [
            each["says"] for each in said["findings"] if each["rule"].startswith("entry-")
        ],
    }


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    form = HeatGuideForm(request.GET or None)
    found = None
    if form.is_bound and form.is_valid():
        found = answer(form.document(), pulsed=form.cleaned_data["pulsed"])
    status = 422 if form.errors else 200
    part = "#answer" if getattr(request, "htmx", False) else ""
    context = {"form": form, "found": found, "naming": NAMING}
    return render(request, f"coursework/heat_guide.html{part}", context, status=status)


NAMING = (
    (
        _("European standards (EN 1011-1, EN ISO 15614-1)"),
        _("arc energy"),
        _("heat input = k × arc energy"),
    ),
    (_("ASME IX, QW-409.1"), _("heat input"), _("not multiplied")),
    (_("AWS D1.1, D1.5"), _("heat input"), _("not multiplied")),
)
