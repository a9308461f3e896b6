"""One kind of imperfection: drawn, how to see it, what causes it, what is allowed."""

from collections.abc import Iterable, Iterator
from typing import Any, Final

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from coursework.views.imperfection_guide import GROUPS
from coursework.weld_drawings import DRAWINGS
from weldlog.engine.causes import causes_in_order
from weldlog.engine.imperfection_guide import GUIDE
from weldlog.engine.limit_sets import ALTERNATIVE
from weldlog.engine.limits import Limit

ENTRIES: Final = {entry.kind.key: entry for entry in GUIDE}
LEVELS: Final = {"iso10042_b": "B", "iso10042_c": "C", "iso10042_d": "D"}
CONFIDENCE: Final = {
    "H": _("sure"),
    "M": _("well, not checked"),
    "L": _("unsure, look it up"),
}


def iso_rows(limits: Iterable[Limit]) -> Iterator[dict[str, Any]]:
    """Yield the limits of ISO 10042 by level, strictest first, and how well each is remembered."""
    for name, level in LEVELS.items():
        for limit in limits:
            if limit.set == name:
                numbers = [each for each in limit.imperfections if each.isdecimal()]
                yield {
                    "level": level,
                    "numbers": ", ".join(numbers),
                    "limit": limit,
                    "remembered": CONFIDENCE.get(limit.confidence or "", ""),
                }


@login_not_required
def view(request: HttpRequest, key: str) -> HttpResponse:
    entry = ENTRIES.get(key)
    if entry is None:
        raise Http404
    kind = entry.kind
    context = {
        "kind": kind,
        "group": GROUPS[kind.group],
        "read": [each for each in kind.numbers if each not in kind.remembered and kind.group],
        "views": DRAWINGS[key].views,
        "causes": causes_in_order(kind),
        "limits": entry.limits,
        "alternative": [each for each in entry.further_limits if each.set == ALTERNATIVE],
        "iso_rows": list(iso_rows(entry.further_limits)),
    }
    return render(request, "coursework/imperfection.html", context)
