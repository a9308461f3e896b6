"""The shop guides, and the cautions that belong to this work; open to everybody."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from coursework.choices import words_of
from weldlog.engine.facts import Facts
from weldlog.engine.safety import Caution, cautions

type Group = tuple[str, list[Caution]]


def grouped() -> list[Group]:
    """Return the cautions of every weld, then those of one process only."""
    gtaw, gmaw = cautions(Facts(process="GTAW")), cautions(Facts(process="GMAW"))
    return [
        (str(_("Always")), [each for each in gtaw if each in gmaw]),
        (words_of("process", "GTAW"), [each for each in gtaw if each not in gmaw]),
        (words_of("process", "GMAW"), [each for each in gmaw if each not in gtaw]),
    ]


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    return render(request, "coursework/guides.html", {"groups": grouped()})
