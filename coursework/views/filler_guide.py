"""Which filler for two metals and a service, best first, with the reasons; open to everybody."""

from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from coursework.forms.filler_guide import SERVICE, FillerGuideForm
from coursework.wording import STANDINGS
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
    "not_recommended": _("Not recommended for arc welding, whatever the filler."),
    "unknown": _("No verdict: the alloy is not known."),
}
PROPERTIES = {
    "crack_resistance": _("against cracks"),
    "strength": _("strength"),
    "ductility": _("ductility"),
    "corrosion": _("corrosion"),
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


def offer_row(offer: Offer) -> dict[str, Any]:
    """Return one filler for the template."""
    source = SOURCES.get(offer.source)
    return {
        "designation": offer.designation,
        "verdict": VERDICTS[offer.verdict],
        "usable": offer.verdict != "do_not_use",
        "reasons": offer.reasons,
        "grades": [(PROPERTIES[name], GRADES[grade]) for name, grade in offer.properties.items()],
        "source": source.title if source else _("by the rules and the estimate of the mixture"),
        "standing": STANDINGS[source.standing] if source else "",
    }


def rows(choice: FillerChoice) -> dict[str, Any]:
    """Return a choice for the template: fillers to use first, those to leave folded away."""
    offers = [offer_row(offer) for offer in choice.fillers]
    return {
        "metals": " + ".join(dict.fromkeys(choice.base_metals)),
        "weldable": WELDABLE[choice.weldable],
        "warned": choice.weldable in {"not_recommended", "unknown"},
        "why": choice.why,
        "disagree": choice.sources_disagree,
        "usable": [offer for offer in offers if offer["usable"]],
        "unusable": [offer for offer in offers if not offer["usable"]],
    }


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    form = FillerGuideForm(request.GET or None)
    choice = None
    if form.is_bound and form.is_valid() and (alloy := form.cleaned_data["alloy"]):
        service = {name: form.cleaned_data[name] for name in SERVICE}
        choice = rows(choose(alloy, form.cleaned_data["other"] or None, **service))
    status = 422 if form.errors else 200
    part = "#choice" if getattr(request, "htmx", False) and not form.errors else ""
    context = {"form": form, "choice": choice}
    return render(request, f"coursework/filler_guide.html{part}", context, status=status)
