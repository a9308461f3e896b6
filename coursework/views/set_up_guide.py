"""Starting ranges for a process, a joint and a thickness, and why; open to everybody."""

from collections.abc import Iterator
from functools import cache
from typing import Any, Final, NamedTuple

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.vary import vary_on_headers

from coursework.choices import words_of
from coursework.extents import Extent, extent
from coursework.forms.set_up_guide import SetUpGuideForm
from coursework.measures import ENGINE_NAMES
from coursework.templatetags.weldlog_tags import significant
from weldlog.engine.facts import Process, Weld
from weldlog.engine.guide_tables import SETUP_RULES
from weldlog.engine.setup_guide import Range, StartingRanges, starting_ranges, thicknesses_mm
from weldlog.engine.tables import rows
from weldlog.engine.units import convert

FILLET_JOINTS: Final = ("lap", "tee")
BALANCE_DRAWN: Final = 70.0


class Quantity(NamedTuple):
    """A member of the starting ranges: its name, base unit, the units shown, and the figures."""

    member: str
    name: Any
    base: str
    metric: str
    shop: str
    figures: int


QUANTITIES: Final = (
    Quantity("current_a", _("Current"), "A", "A", "", 3),
    Quantity("voltage_v", _("Arc volts"), "V", "V", "", 3),
    Quantity("wire_feed_mm_s", _("Wire feed"), "mm/s", "m/min", "in/min", 3),
    Quantity("travel_speed_mm_s", _("Travel speed"), "mm/s", "mm/s", "in/min", 2),
    Quantity("gas_flow_l_min", _("Gas flow"), "L/min", "L/min", "CFH", 2),
    Quantity("filler_diameter_mm", _("Rod or wire"), "mm", "mm", "in", 2),
    Quantity("tungsten_diameter_mm", _("Tungsten"), "mm", "mm", "in", 2),
    Quantity("nozzle_diameter_mm", _("Gas nozzle"), "mm", "mm", "in", 2),
    Quantity("nozzle_to_work_mm", _("Nozzle to work"), "mm", "mm", "in", 2),
)
#: What the table of all ranges leaves to the answer, for want of room.
ALONE: Final = ("nozzle_diameter_mm", "nozzle_to_work_mm")
#: What the shop calls the sizes of rods, wires, tungsten and plate [in, by size in mm].
SHOP_SIZES: Final = {
    0.8: "1/32",
    0.9: "0.035",
    1.0: "0.040",
    1.2: "3/64",
    1.6: "1/16",
    2.4: "3/32",
    3.2: "1/8",
    4.0: "5/32",
    4.8: "3/16",
    6.4: "1/4",
}


def number(value: float, base: str, unit: str, figures: int) -> str:
    """Return a value in a unit as the shop writes it: sizes in inches as fractions."""
    if unit == "in" and value in SHOP_SIZES:
        return SHOP_SIZES[value]
    shown = value if unit == base else convert(value, base, ENGINE_NAMES.get(unit, unit))
    text = significant(shown, figures)
    return text.rstrip("0").rstrip(".") if "." in text else text


def written(found: Range, quantity: Quantity, unit: str) -> str:
    """Return a range in a unit, as one number where both ends are written alike."""
    ends = (number(end, quantity.base, unit, quantity.figures) for end in (found.low, found.high))
    return "–".join(dict.fromkeys(ends))


def quantities(found: StartingRanges) -> Iterator[dict[str, Any]]:
    """Yield what the ranges say, in both unit systems; empty where no source prints anything."""
    for each in QUANTITIES:
        said: Range | None = getattr(found, each.member)
        yield {
            "member": each.member,
            "name": each.name,
            "metric": written(said, each, each.metric) if said else "",
            "metric_unit": each.metric,
            "shop": written(said, each, each.shop) if said and each.shop else "",
            "shop_unit": each.shop,
            "sources": said.sources if said else (),
            "notes": said.notes if said else (),
            "between": said.between if said else False,
        }


def weld_of(joint: str) -> Weld:
    """Return the kind of weld whose starting ranges a joint takes."""
    return "fillet" if joint in FILLET_JOINTS else "square_groove"


def answer(process: Process, joint: str, thickness_mm: float) -> dict[str, Any]:
    """Return the starting ranges for the template, or the thicknesses that there are."""
    weld = weld_of(joint)
    found = starting_ranges(process, weld, thickness_mm)
    ranges = [each for each in quantities(found) if each["metric"]] if found else []
    notes = dict.fromkeys(note for each in ranges for note in each["notes"])
    known = thicknesses_mm(process, weld)
    return {
        "process": words_of("process", process),
        "joint": words_of("joint", joint),
        "thickness": number(thickness_mm, "mm", "mm", 3),
        "thickness_in": number(thickness_mm, "mm", "in", 3),
        "ranges": ranges,
        "between": any(each["between"] for each in ranges),
        "notes": [*notes],
        "thinnest": known[0],
        "thickest": known[-1],
    }


@cache
def all_ranges() -> list[dict[str, Any]]:
    """Return every thickness whose current is printed, each process and kind of weld in turn."""
    kinds: tuple[tuple[Process, Weld], ...] = (
        ("GTAW", "square_groove"),
        ("GTAW", "fillet"),
        ("GMAW", "square_groove"),
        ("GMAW", "fillet"),
    )
    return [row for kind in kinds for row in _printed(*kind)]


def _printed(process: Process, weld: Weld) -> Iterator[dict[str, Any]]:
    before: Range | None = None
    for thickness in thicknesses_mm(process, weld):
        found = starting_ranges(process, weld, thickness)
        if found is None or found.current_a is None or found.current_a.between:
            continue
        # A row that is printed for two thicknesses, such as 3 and 3.2 mm, is shown once.
        if found.current_a is not before:
            before = found.current_a
            yield {
                "process": process,
                "weld": weld,
                "thickness": f"{thickness:g}",
                "thickness_in": number(thickness, "mm", "in", 2),
                "quantities": [each for each in quantities(found) if each["member"] not in ALONE],
                "sources": found.sources,
            }


def tungsten() -> list[dict[str, Any]]:
    """Return the currents that each size of tungsten carries on AC."""
    return [
        {
            "mm": row["diameter_mm"],
            "inch": SHOP_SIZES[float(row["diameter_mm"])],
            "low": row["balanced_min_a"],
            "high": row["unbalanced_max_a"],
            "source": row["source"],
        }
        for row in rows("tungsten.tsv")
    ]


def cycle(en_percent: float) -> dict[str, Any]:
    """Return two cycles of a square wave in percent of the drawing: what each half takes."""
    en = en_percent / 2
    halves: list[tuple[Extent, Extent]] = [
        (extent(start, start + en, 100), extent(start + en, start + 50, 100)) for start in (0, 50)
    ]
    return {"en": f"{en_percent:g}", "ep": f"{100 - en_percent:g}", "halves": halves}


def rules() -> list[tuple[Any, list[Any]]]:
    """Return the rules of the set-up by the process that they speak of."""
    names = (("GTAW", words_of("process", "GTAW")), ("GMAW", words_of("process", "GMAW")))
    kinds = (*names, ("both", _("Both")))
    return [(name, [each for each in SETUP_RULES if each.process == kind]) for kind, name in kinds]


@login_not_required
@vary_on_headers("HX-Request")
def view(request: HttpRequest) -> HttpResponse:
    form = SetUpGuideForm(request.GET or None)
    found, balance = None, BALANCE_DRAWN
    if form.is_valid():
        asked = form.cleaned_data
        balance = asked["en_percent"].value if asked["en_percent"] else balance
        if not form.lacking:
            found = answer(asked["process"], asked["joint"], asked["thickness_mm"].value)
    context = {
        "form": form,
        "found": found,
        "cycle": cycle(balance),
        "tungsten": tungsten(),
        "all_ranges": all_ranges(),
        "rules": rules(),
    }
    part = "#answer" if request.headers.get("HX-Request") else ""
    status = 422 if form.errors else 200
    return render(request, f"coursework/set_up_guide.html{part}", context, status=status)
