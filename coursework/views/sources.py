"""Every source, its standing and the rules that rest on it; open to everybody."""

from collections import defaultdict

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from coursework.wording import STANDINGS
from weldlog.engine.review import EDITION, RULES
from weldlog.engine.sources import SOURCES

EXPLAINED = {
    "read": _("The page was read, and the value stands there."),
    "memory": _("Remembered from that document, not read again: check your own copy."),
    "practice": _("What the trade commonly does; no source."),
    "doubtful": _("Unclear in its source: never judged on."),
}


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    used: dict[str, list[str]] = defaultdict(list)
    for rule in RULES.values():
        used[rule.source].append(rule.id)
    groups = [
        {
            "standing": word,
            "explained": EXPLAINED[standing],
            "sources": [
                {"title": each.title, "key": each.key, "rules": sorted(used[each.key])}
                for each in SOURCES.values()
                if each.standing == standing
            ],
        }
        for standing, word in STANDINGS.items()
    ]
    context = {"groups": groups, "edition": EDITION, "rules": len(RULES)}
    return render(request, "coursework/sources.html", context)
