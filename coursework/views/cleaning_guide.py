"""The order of cleaning and why, the steps, tools and methods, and how long it lasts."""

from typing import Any, Final

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from coursework.choices import words_of
from weldlog.engine.guide_tables import (
    CLEANING_METHODS,
    CLEANING_WINDOWS,
    OXIDE_FACTS,
    PREPARATION_STEPS,
)
from weldlog.engine.review import RULES
from weldlog.engine.safety import CAUTIONS
from weldlog.engine.school import DEFAULT
from weldlog.engine.tables import rows

STEPS: Final = {step.id: step for step in PREPARATION_STEPS}
#: The order in six words, each with the step that says why.
PLAN: Final = (
    (_("Degrease"), "P06"),
    (_("Let it dry"), "P07"),
    (_("Take off the oxide"), "P08"),
    (_("Wipe"), "P11"),
    (_("Cover"), "P15"),
    (_("Weld in time"), "P14"),
)
#: Tools, whether they may touch the joint, what to mind, and the rule that says so.
TOOLS: Final = (
    (
        "stainless_hand_brush",
        "yes",
        _("kept for aluminum, free of grease"),
        "cleaning-brush-shared",
    ),
    ("scraper", "yes", _("kept for aluminum"), "cleaning-tool-shared"),
    ("file", "yes", _("kept for aluminum, chalked"), "cleaning-tool-shared"),
    ("mill", "yes", _("dry and sharp"), "cleaning-tool-shared"),
    ("lint_free_cloth", "yes", _("clean, turned as it gets dirty"), "cleaning-shop-rag"),
    (
        "flap_disc",
        "care",
        _("rated for aluminum; degrease and brush after it"),
        "cleaning-grit-left",
    ),
    ("power_wire_wheel", "care", _("smears; sources differ, so ask"), "cleaning-power-wheel"),
    ("carbon_steel_brush", "no", _("leaves iron"), "cleaning-carbon-steel-brush"),
    ("brass_brush", "no", _("leaves copper and zinc"), "cleaning-brass-brush"),
    ("bonded_wheel", "no", _("loads up and can burst"), "safety-bonded-wheel"),
    ("shop_rag", "no", _("brings oil and lint back"), "cleaning-shop-rag"),
    ("compressed_air", "no", _("carries water and oil"), "cleaning-compressed-air"),
)
#: How the metal was kept, and what takes its oxide off.
STORAGE: Final = (
    ("indoors", _("Thin, dry oxide: the stainless hand brush will do."), "prep-S13"),
    (
        "outdoors",
        _("Thick, damp oxide: scrape, file or mill to bright metal, then brush."),
        "prep-S36b",
    ),
    ("immersed", _("As outdoors: the brush alone hardly moves it."), "prep-S36b"),
    ("unknown", _("Take it as kept outdoors."), "practice"),
)
#: What is done between the runs, and the steps that say why.
BETWEEN_RUNS: Final = (
    (_("Brush every run, every restart and every tack, even where it shines."), "P25"),
    (_("Cut the gray end off the rod."), "P17"),
    (_("Clean the back to sound metal, degrease and brush it, before its run."), "P26"),
)
CAUTIONS_SHOWN: Final = (
    "school-rules",
    "chlorinated-solvent",
    "solvent-away",
    "alkaline-cleaner",
    "etching",
    "grinding",
    "aluminum-dust",
    "burning-chips",
    "chromium",
)


def tools() -> list[dict[str, Any]]:
    """Return the tools for the template, each with the source of the rule behind it."""
    return [
        {
            "name": words_of("tool", tool),
            "verdict": verdict,
            "mind": mind,
            "source": RULES[rule].source,
        }
        for tool, verdict, mind, rule in TOOLS
    ]


def condensation() -> list[dict[str, Any]]:
    """Return by how much the metal is colder, and the humidity above which water forms on it."""
    return [
        {
            "celsius": row["air_minus_metal_k"],
            "fahrenheit": f"{1.8 * float(row['air_minus_metal_k']):.0f}",
            "humidity": row["relative_humidity_percent"],
            "source": row["source"],
        }
        for row in rows("condensation.tsv")
        if row["air_minus_metal_k"] != "0"
    ]


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    context = {
        "plan": [(name, STEPS[step]) for name, step in PLAN],
        "steps": PREPARATION_STEPS,
        "planned": [step for _name, step in PLAN],
        "tools": tools(),
        "methods": CLEANING_METHODS,
        "storage": [(words_of("stored", kept), says, key) for kept, says, key in STORAGE],
        "oxide": OXIDE_FACTS,
        "condensation": condensation(),
        "windows": CLEANING_WINDOWS,
        "window_h": DEFAULT.cleaning_window_h,
        "redo_h": DEFAULT.cleaning_redo_h,
        "between_runs": [(says, STEPS[step].sources) for says, step in BETWEEN_RUNS],
        "cautions": [each for each in CAUTIONS if each.id in CAUTIONS_SHOWN],
    }
    return render(request, "coursework/cleaning_guide.html", context)
