"""Every source, its standing and the rules that rest on it; open to everybody."""

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from coursework.wording import STANDINGS
from weldlog.engine.review import EDITION, RULES
from weldlog.engine.sources import SOURCES, Source

EXPLAINED = {
    "read": _("The page was read, and the value stands there."),
    "memory": _("Remembered from that document, not read again: check your own copy."),
    "practice": _("What the trade commonly does; no document says it."),
    "doubtful": _("Unclear in its source: shown, never judged on."),
}
# What the first part of a key says the source is about.
SUBJECTS = {
    "alloy": _("Alloys and fillers"),
    "heat": _("Heat and process"),
    "prep": _("Preparation, inspection and teaching"),
}


def rules_by_source() -> dict[str, list[str]]:
    """Return the ids of the rules that rest on each source."""
    found: dict[str, list[str]] = defaultdict(list)
    for rule in RULES.values():
        found[rule.source].append(rule.id)
    return found


def subjects(sources: list[Source]) -> Iterator[dict[str, Any]]:
    """Yield the sources by what they are about: those of a rule first, the others apart."""
    rules = rules_by_source()
    by_subject: dict[str, list[Source]] = defaultdict(list)
    for each in sources:
        by_subject[each.key.partition("-")[0]].append(each)
    for name, group in by_subject.items():
        yield {
            "name": SUBJECTS.get(name, ""),
            "behind_rules": [(each, rules[each.key]) for each in group if each.key in rules],
            "others": [each for each in group if each.key not in rules],
        }


def standings() -> list[dict[str, Any]]:
    """Return the four standings in their order, each with its sources."""
    by_standing: dict[str, list[Source]] = defaultdict(list)
    for each in SOURCES.values():
        by_standing[each.standing].append(each)
    return [
        {
            "name": name,
            "word": word,
            "explained": EXPLAINED[name],
            "count": len(by_standing[name]),
            "subjects": [*subjects(by_standing[name])],
        }
        for name, word in STANDINGS.items()
    ]


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    context = {"standings": standings(), "edition": EDITION, "rules": len(RULES)}
    return render(request, "coursework/sources.html", context)
