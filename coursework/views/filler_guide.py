"""Which filler for two metals and a service, best first, with the reasons; open to everybody."""

import re
from functools import cache
from typing import Any, Final

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _
from django.views.decorators.vary import vary_on_headers

from coursework.forms.filler_guide import SERVICE, FillerGuideForm
from coursework.wording import STANDINGS
from weldlog.engine.alloys import ALLOYS
from weldlog.engine.filler_choice import FillerChoice, Offer, choose
from weldlog.engine.sources import SOURCES

VERDICTS = {
    "first_choice": _("First choice"),
    "acceptable": _("Acceptable"),
    "with_care": _("With care"),
    "do_not_use": _("Do not use"),
}
WELDABLE = {
    "readily": _("Welds readily."),
    "with_care": _("Welds with care."),
    "not_recommended": _("Not recommended for arc welding, whatever the filler"),
    "unknown": _("No verdict: the alloy is not known."),
}
PROPERTIES = {
    "crack_resistance": _("against cracks"),
    "strength": _("strength"),
    "ductility": _("ductility"),
    "corrosion": _("salt water"),
    "hot_service": _("warm service"),
    "anodised_match": _("anodized color"),
    "heat_treatment": _("heat treatment"),
}
GRADES = {
    "good": _("good"),
    "fair": _("fair"),
    "poor": _("poor"),
    "do_not_use": _("do not use"),
    "not_applicable": _("does not apply"),
    "unknown": _("not known"),
}
#: The alloys whose pairs a shop meets most.
COMMON: Final = ("1100", "3003", "5052", "5083", "6061", "6063", "7005", "356.0")
_SOURCE_KEY = re.compile(f"({'|'.join(sorted(map(re.escape, SOURCES), key=len, reverse=True))})")


def with_links(text: str) -> SafeString:
    """Return a text whose source keys lead to the page of sources."""
    page = reverse("coursework:sources")
    return format_html_join(
        "",
        "{}",
        (
            (format_html('<a href="{}#{}">{}</a>', page, part, part) if part in SOURCES else part,)
            for part in _SOURCE_KEY.split(text)
        ),
    )


def offer_row(offer: Offer) -> dict[str, Any]:
    """Return one filler for the template."""
    source = SOURCES[offer.source]
    return {
        "designation": offer.designation,
        "verdict": VERDICTS[offer.verdict],
        "reasons": offer.reasons,
        "grades": [(PROPERTIES[name], GRADES[grade]) for name, grade in offer.properties.items()],
        "source": source,
        "standing": STANDINGS[source.standing],
    }


def rows(choice: FillerChoice) -> dict[str, Any]:
    """Return a choice for the template, its fillers by what is to be done with them."""

    def judged(*verdicts: str) -> list[dict[str, Any]]:
        return [offer_row(offer) for offer in choice.fillers if offer.verdict in verdicts]

    offered = judged("first_choice", "acceptable")
    with_care = judged("with_care")
    words = WELDABLE[choice.weldable]
    return {
        "metals": " + ".join(dict.fromkeys(choice.base_metals)),
        "cards": sorted({*choice.base_metals} & ALLOYS.keys()),
        "weldable": choice.weldable,
        "words": words,
        "why": choice.why,
        "stop": {"severity": "stop", "heading": words, "says": choice.why},
        "sources_disagree": with_links(choice.sources_disagree),
        "offered": offered,
        "with_care": with_care,
        "unusable": judged("do_not_use"),
        "graded": offered or with_care,
        "properties": PROPERTIES.values(),
    }


def asked_for(form: FillerGuideForm) -> list[str]:
    """Return what the part is for, in words, for the sheet that leaves the form out."""
    if not form.is_bound or form.errors:
        return []
    return [str(form.fields[name].label) for name in SERVICE if form.cleaned_data[name]]


@cache
def common_pairs() -> list[tuple[str, list[tuple[str, str]]]]:
    """Return the first choice for each pair of common alloys: row by row, alloy and filler."""
    return [(one, [(other, _first_choice(one, other)) for other in COMMON]) for one in COMMON]


def _first_choice(one: str, other: str) -> str:
    best = choose(one, other).fillers[0]
    return best.designation if best.verdict == "first_choice" else "–"


@login_not_required
@vary_on_headers("HX-Request")
def view(request: HttpRequest) -> HttpResponse:
    form = FillerGuideForm(request.GET or None)
    choice = None
    if form.is_valid() and (metals := form.metals):
        service = {name: form.cleaned_data[name] for name in SERVICE}
        choice = rows(choose(*metals, **service))
    part = "#choice" if request.headers.get("HX-Request") else ""
    return render(
        request,
        f"coursework/filler_guide.html{part}",
        {"form": form, "choice": choice, "common": common_pairs(), "service": asked_for(form)},
        status=422 if form.errors else 200,
    )
