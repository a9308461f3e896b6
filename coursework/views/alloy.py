"""One alloy: what is in it, how it melts and conducts, what a joint of it bears, which filler."""

from collections.abc import Iterator
from functools import cache
from typing import Any, Final

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.extents import extent, round_end
from coursework.views.alloys import SERIES, fillers_of
from weldlog.engine.alloys import NOT_FOR_ARC_WELDING, Alloy, find
from weldlog.engine.facts import read
from weldlog.engine.findings import Finding
from weldlog.engine.review import review
from weldlog.engine.sources import Sourced
from weldlog.engine.table_columns import Limit
from weldlog.engine.units import convert

#: Where the oxide melts [°C], and how well low-carbon steel conducts heat [W/(m K)].
OXIDE_MELTS_C: Final = Sourced(2050.0, "prep-S18")
STEEL_CONDUCTS_W_MK: Final = Sourced(50.0, "memory-carbon-steel")
#: The end of the axis that melting range and oxide share [°C].
AXIS_END_C: Final = 2200.0
AXIS_TICKS_C: Final = (0, 500, 1000, 1500, 2000)
#: One kip per square inch, by the definitions of pound-force and inch [MPa].
KSI_MPA: Final = 6.894757
ELEMENTS: Final = {
    "si": ("Si", gettext_lazy("silicon")),
    "fe": ("Fe", gettext_lazy("iron")),
    "cu": ("Cu", gettext_lazy("copper")),
    "mn": ("Mn", gettext_lazy("manganese")),
    "mg": ("Mg", gettext_lazy("magnesium")),
    "cr": ("Cr", gettext_lazy("chromium")),
    "zn": ("Zn", gettext_lazy("zinc")),
    "ti": ("Ti", gettext_lazy("titanium")),
}


def _limit_text(limit: Limit | None) -> str:
    if limit is None:
        return "–"
    if limit.low is None:
        return _("up to %(high)g") % {"high": limit.high}
    return f"{limit.low:g}–{limit.high:g}"


def composition(alloy: Alloy) -> dict[str, Any]:
    """Return limits and nominal content of each element, with its bar on one scale for all."""
    highs = [limit.high for limit in alloy.limits.values() if limit.high is not None]
    end = round_end(max(highs))
    rows = []
    for element, (sign, name) in ELEMENTS.items():
        limit = alloy.limits.get(element)
        sourced = alloy.nominal_percent.get(element)
        nominal = sourced.value if sourced else None
        if limit is None and nominal is None:
            continue
        high = limit.high if limit and limit.high is not None else 0.0
        low = limit.low if limit else None
        rows.append(
            {
                "sign": sign,
                "name": name,
                "limits": _limit_text(limit),
                "nominal": "–" if nominal is None else f"{nominal:g}",
                "assumed": sourced.source if sourced and sourced.source == "practice" else "",
                "bar": extent(low, high, end, nominal),
            }
        )
    return {"end": end, "rows": rows}


def melting(alloy: Alloy) -> dict[str, Any]:
    """Return the melting range and the oxide's melting point on one axis."""
    return {
        "range": extent(alloy.solidus_c, alloy.liquidus_c, AXIS_END_C),
        "celsius": f"{alloy.solidus_c:g}–{alloy.liquidus_c:g}",
        "fahrenheit": "–".join(
            f"{convert(each, '°C', '°F'):.0f}" for each in (alloy.solidus_c, alloy.liquidus_c)
        ),
        "oxide": extent(None, OXIDE_MELTS_C.value, AXIS_END_C).end,
        "oxide_c": f"{OXIDE_MELTS_C.value:g}",
        "oxide_f": f"{convert(OXIDE_MELTS_C.value, '°C', '°F'):.0f}",
        "oxide_source": OXIDE_MELTS_C.source,
        "ticks": [(100 * each / AXIS_END_C, each) for each in AXIS_TICKS_C],
    }


def conductivity(alloy: Alloy) -> dict[str, Any]:
    """Return how well the alloy conducts heat, beside low-carbon steel."""
    own, steel = alloy.conductivity_w_mk, STEEL_CONDUCTS_W_MK.value
    end = round_end(max(own, steel))
    return {
        "own": f"{own:g}",
        "own_bar": extent(None, own, end),
        "steel": f"{steel:g}",
        "steel_bar": extent(None, steel, end),
        "steel_source": STEEL_CONDUCTS_W_MK.source,
        "times": f"{own / steel:.1f}",
    }


def _strengths(alloy: Alloy) -> Iterator[tuple[str, float | None, tuple[str, ...]]]:
    """Yield what is known of the strength of base metal and joint [MPa], with its sources."""
    of = alloy.sources.get
    base, haz = of("strength", ()), of("haz", ())
    zone = {"temper": alloy.haz_temper}
    yield (
        _("Base metal %(temper)s, tensile") % {"temper": alloy.temper},
        alloy.typical_uts_mpa,
        base,
    )
    yield (
        _("Base metal %(temper)s, yield") % {"temper": alloy.temper},
        alloy.typical_yield_mpa,
        base,
    )
    yield _("Welded joint, least tensile"), alloy.welded_uts_mpa, of("welded", ())
    yield _("Beside the weld (%(temper)s), tensile") % zone, alloy.haz_uts_mpa, haz
    yield _("Beside the weld (%(temper)s), yield") % zone, alloy.haz_proof_mpa, haz


def strength(alloy: Alloy) -> list[dict[str, Any]]:
    """Return the known strengths for the template, each with its bar on one scale."""
    end = round_end(max(alloy.typical_uts_mpa, alloy.welded_uts_mpa or 0))
    return [
        {
            "name": name,
            "mpa": f"{mpa:g}",
            "ksi": f"{mpa / KSI_MPA:.0f}",
            "bar": extent(None, mpa, end),
            "sources": sources,
        }
        for name, mpa, sources in _strengths(alloy)
        if mpa is not None
    ]


@cache
def warnings(designation: str) -> tuple[Finding, ...]:
    """Return what a review says of this alloy without filler, and in long warm service."""
    joint = {
        "process": "GTAW",
        "base_metals": [{"alloy": designation}] * 2,
        "filler": None,
        "service": {"above_65_c": True},
    }
    spoken = (each for each in review(read(joint)).findings if each.severity in ("stop", "warn"))
    return tuple(
        each
        for each in spoken
        if each.rule.id.startswith(("alloy-", "filler-")) and each.rule is not NOT_FOR_ARC_WELDING
    )


@login_not_required
def view(request: HttpRequest, designation: str) -> HttpResponse:
    alloy = find(designation)
    if alloy is None:
        raise Http404
    if alloy.designation != designation:
        return redirect("coursework:alloy", alloy.designation)
    first, others = fillers_of(alloy.designation)
    context = {
        "alloy": alloy,
        "series": SERIES[alloy.series],
        "composition": composition(alloy),
        "melting": melting(alloy),
        "conductivity": conductivity(alloy),
        "strength": strength(alloy),
        "first": first,
        "others": others,
        "warnings": warnings(alloy.designation),
    }
    return render(request, "coursework/alloy.html", context)
