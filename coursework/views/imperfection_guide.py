"""The imperfection guide: every kind of the classroom list, drawn small; open to everybody."""

from collections.abc import Iterator
from typing import Any, Final

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from coursework.weld_drawings import DRAWINGS
from weldlog.engine.imperfection_guide import VIEWING
from weldlog.engine.imperfection_list import IMPERFECTIONS, ImperfectionKind

#: The groups of ISO 6520-1, from memory.
GROUPS: Final = {
    "1": _("Cracks"),
    "2": _("Cavities"),
    "3": _("Solid inclusions"),
    "4": _("Lack of fusion and penetration"),
    "5": _("Imperfect shape"),
    "6": _("Other imperfections"),
    "": _("Without a number"),
}


def numbers_of(kind: ImperfectionKind) -> list[tuple[str, bool]]:
    """Return the ISO 6520-1 numbers of a kind, each with whether it is from memory."""
    return [(each, each in kind.remembered) for each in kind.numbers if each[0].isdigit()]


def grouped() -> Iterator[dict[str, Any]]:
    """Yield the groups in their order, each with its kinds, their numbers and drawings."""
    for number, name in GROUPS.items():
        kinds = [kind for kind in IMPERFECTIONS if kind.group == number]
        yield {
            "number": number,
            "name": name,
            "kinds": [(kind, numbers_of(kind), DRAWINGS[kind.key].small) for kind in kinds],
        }


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    context = {"groups": list(grouped()), "viewing": VIEWING}
    return render(request, "coursework/imperfection_guide.html", context)
