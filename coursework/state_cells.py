"""The cells of the section grid: state of an exercise as digit, shape and shade.

They are made of ready parts, not by a template each: a grid has hundreds, and only some twenty
kinds of them.
"""

from collections.abc import Iterable
from functools import cache, lru_cache

from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext as _

type GridCell = tuple[int, str, int, bool, bool, bool]
"""Place and name of the exercise, state, stuck, waiting for a grade, folded on phones."""


def state_word(state: int) -> str:
    """Return the word for the state of an exercise, 0 to 4."""
    words = (_("not started"), _("started"), _("coming along"), _("nearly there"), _("competent"))
    return words[state]


@cache
def _parts(state: int, stuck: bool, waiting: bool, _language: str) -> tuple[SafeString, SafeString]:
    """Return what stands before and after the name of the exercise."""
    shade = f"state-cell state-{state}{' stuck' * stuck}{' waiting' * waiting}"
    groove = format_html(
        '<svg class="groove" aria-hidden="true"><use href="#g-{}" /></svg>' if state else "", state
    )
    said = [state_word(state)]
    said += [_("stuck")] * stuck + [_("waiting for a grade")] * waiting
    before = format_html('class="{}"><span>{}</span>{}<span class="sr">', shade, state, groove)
    return before, format_html(": {}</span>", ", ".join(said))


def state_cell(
    state: int, url: str = "", name: str = "", *, stuck: bool = False, waiting: bool = False
) -> SafeString:
    """Return one cell; ``name`` is the exercise, for ears."""
    before, after = _parts(state, stuck, waiting, get_language() or "")
    spoken = format_html(", {}", name) if name else ""
    if url:
        return format_html('<a href="{}" {}{}{}</a>', url, before, spoken, after)
    return format_html("<span {}{}{}</span>", before, spoken, after)


def grid_cells(url: str, cells: Iterable[GridCell]) -> SafeString:
    """Return the table cells of one student; ``url`` is the student's page."""
    language = get_language() or ""
    escaped = str(conditional_escape(url))
    parts = (_around(*cell, language) for cell in cells)
    return SafeString("".join(f"{head}{escaped}{tail}" for head, tail in parts))


@lru_cache(maxsize=4096)
def _around(
    place: int,
    name: str,
    state: int,
    stuck: bool,
    waiting: bool,
    folded: bool,
    language: str,
) -> tuple[SafeString, SafeString]:
    """Return what stands before and after the address in a table cell."""
    before, after = _parts(state, stuck, waiting, language)
    head = '<td role="cell" class="folded" ' if folded else '<td role="cell" '
    return (
        format_html(head + 'data-name="{}"><a href="', place),
        format_html('#exercise-{}" {}, {}{}</a></td>', place, before, name, after),
    )
