"""Every alloy of the tables at a glance; open to everybody."""

from functools import cache
from itertools import groupby
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from weldlog.engine.alloys import ALLOYS, Alloy
from weldlog.engine.filler_choice import choose

SERIES = {
    "1xxx": _("1xxx, almost pure"),
    "2xxx": _("2xxx, with copper"),
    "3xxx": _("3xxx, with manganese"),
    "5xxx": _("5xxx, with magnesium"),
    "6xxx": _("6xxx, with magnesium and silicon"),
    "7xxx": _("7xxx, with zinc and magnesium"),
    "3xx.0": _("Castings 3xx.0, with silicon and copper or magnesium"),
    "4xx.0": _("Castings 4xx.0, with silicon"),
    "5xx.0": _("Castings 5xx.0, with magnesium"),
}


@cache
def fillers_of(designation: str) -> tuple[str, tuple[str, ...]]:
    """Return the first filler for an alloy with itself, and the others that will do."""
    offers = choose(designation).fillers
    first = next((each.designation for each in offers if each.verdict == "first_choice"), "")
    return first, tuple(each.designation for each in offers if each.verdict == "acceptable")


def row(alloy: Alloy) -> dict[str, Any]:
    """Return one alloy for the template."""
    first, others = fillers_of(alloy.designation)
    return {"alloy": alloy, "first": first, "others": ", ".join(others)}


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    groups = [
        (SERIES[series], [row(alloy) for alloy in members])
        for series, members in groupby(ALLOYS.values(), key=lambda alloy: alloy.series)
    ]
    return render(request, "coursework/alloys.html", {"groups": groups, "number": len(ALLOYS)})
