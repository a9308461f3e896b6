"""The shop guides, and the cautions that belong to this work; open to everybody."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from weldlog.engine.facts import Facts
from weldlog.engine.safety import cautions


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    both = {each.id: each for kind in ("GTAW", "GMAW") for each in cautions(Facts(process=kind))}
    return render(request, "coursework/guides.html", {"cautions": both.values()})
