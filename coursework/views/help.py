"""How weldlog is used, in one page; open to everybody."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

FLAGS = (
    {
        "severity": "stop",
        "heading": _("do not strike an arc, or do not accept"),
        "says": _("A filled block with an octagon. A safety stop comes before everything else."),
    },
    {
        "severity": "warn",
        "heading": _("an instructor should see it"),
        "says": _("A thick bar with a triangle. It may well be right: say why, if you know."),
    },
    {
        "severity": "advise",
        "heading": _("a hint for the next one"),
        "says": _("A double bar with an arrow in a circle. Nothing has to be done now."),
    },
)


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    return render(request, "coursework/help.html", {"flags": FLAGS})
