"""Every source, its standing and all that rests on it; open to everybody."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from coursework.source_uses import Uses, source_uses
from coursework.wording import STANDINGS
from weldlog.engine.review import EDITION, RULES
from weldlog.engine.sources import SOURCES, Source

EXPLAINED = {
    "read": gettext_lazy("The page was read, and the value stands there."),
    "memory": gettext_lazy("Remembered from that document, not read again: check your own copy."),
    "practice": gettext_lazy("What the trade commonly does; no document says it."),
    "doubtful": gettext_lazy("Unclear in its source: shown, never judged on."),
}
# What the first part of a key says the source is about.
SUBJECTS = {
    "alloy": gettext_lazy("Alloys and fillers"),
    "heat": gettext_lazy("Heat and process"),
    "prep": gettext_lazy("Preparation, inspection and teaching"),
}


def _plain(names: Iterable[str]) -> str:
    """Return names of files as words: ``heat_guide`` is the heat guide."""
    return ", ".join(name.removeprefix("test_").replace("_", " ") for name in names)


def uses_in_words(uses: Uses) -> list[tuple[str, str, int]]:
    """Return what rests on a source: a label, the names, and of how many rules they are."""
    tables = [
        ngettext("%(name)s (%(number)d row)", "%(name)s (%(number)d rows)", number)
        % {"name": _plain([name]), "number": number}
        for name, number in uses.tables.items()
    ]
    kinds = (
        (_("rules"), ", ".join(uses.rules), len(uses.rules)),
        (_("tables"), ", ".join(tables), 0),
        (_("formulas"), _plain(uses.formulas), 0),
        (_("pages"), _plain(uses.guides), 0),
        (_("checked in the tests of"), _plain(uses.checks), 0),
    )
    return [(label, names, number) for label, names, number in kinds if names]


def subjects(sources: list[Source]) -> Iterator[dict[str, Any]]:
    """Yield the sources by what they are about: those of a rule first, the others apart."""
    uses = source_uses()
    by_subject: dict[str, list[Source]] = defaultdict(list)
    for each in sources:
        by_subject[each.key.partition("-")[0]].append(each)
    for name, group in by_subject.items():
        worded = [(each, uses[each.key].rules, uses_in_words(uses[each.key])) for each in group]
        yield {
            "name": SUBJECTS.get(name, ""),
            "behind_rules": [(each, words) for each, rules, words in worded if rules],
            "others": [(each, words) for each, rules, words in worded if not rules],
        }


def standings() -> list[dict[str, Any]]:
    """Return the four standings in their order, each with its sources that are in use."""
    uses = source_uses()
    by_standing: dict[str, list[Source]] = defaultdict(list)
    for each in SOURCES.values():
        if uses[each.key]:
            by_standing[each.standing].append(each)
    return [
        {
            "name": name,
            "word": word,
            "explained": EXPLAINED[name],
            "count": len(by_standing[name]),
            "rules": sum(len(uses[each.key].rules) for each in by_standing[name]),
            "subjects": [*subjects(by_standing[name])],
        }
        for name, word in STANDINGS.items()
    ]


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    context = {"standings": standings(), "edition": EDITION, "rules": len(RULES)}
    return render(request, "coursework/sources.html", context)
