"""What the shop guides use: what a value rests on, how an alloy welds, bars, and the edition.

``{% rests_on keys %}`` says in words whether the sources were read, and names them. Shape and word
are drawn by ``{% weldability alloy.weldability %}``, ``{% loudness step.if_skipped %}`` and
``{% verdict "yes" %}``; ``{% bar_line bar %}`` draws an ``Extent`` of ``coursework.extents``.
``{% rules_edition %}`` is what a printed sheet was made with.
"""

from collections.abc import Iterable
from typing import Any

from django import template
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from weldlog.engine.review import EDITION
from weldlog.engine.sources import SOURCES, Source

register = template.Library()

STANDING_WORDS = {
    "read": _("read"),
    "memory": _("from memory"),
    "practice": _("common practice"),
    "doubtful": _("doubtful"),
}
WELDABILITY = {
    "readily": ("i-tick", _("Welds readily")),
    "with_care": ("s-warn", _("Welds with care")),
    "not_recommended": ("s-stop", _("Not for arc welding")),
}
VERDICTS = {
    "yes": ("i-tick", _("Yes")),
    "care": ("s-warn", _("With care")),
    "no": ("s-stop", _("No")),
}
#: Sources that are no document: their standing says all there is to say.
NO_DOCUMENT = {"practice", "school", "rule"}


@register.simple_tag
def rests_on(keys: str | Iterable[str]) -> SafeString:
    """Say the standing of each source in words, with a link to it; sources of a kind together."""
    groups: dict[str, list[Source]] = {}
    for key in keys.split() if isinstance(keys, str) else keys:
        groups.setdefault(SOURCES[key].standing, []).append(SOURCES[key])
    said = format_html_join(
        "",
        '<span class="as-{}">{}</span>',
        ((name, _group(name, of)) for name, of in groups.items()),
    )
    return format_html('<small class="rests">{}</small>', said)


def _group(standing: str, sources: list[Source]) -> SafeString:
    page = reverse("coursework:sources")
    link = '<a href="{}#{}" title="{}">{}</a>'
    named = format_html_join(
        ", ", link, ((page, *_of(each)) for each in sources if each.key not in NO_DOCUMENT)
    )
    word = STANDING_WORDS[standing]
    keys = format_html('<span class="keys">: {}</span>', named) if named else ""
    return format_html("{}{}", word, keys)


def _of(source: Source) -> tuple[str, str, str]:
    return source.key, source.title, source.key


@register.inclusion_tag("components/judged.html")
def weldability(value: str) -> dict[str, Any]:
    """Draw how an alloy takes to arc welding: a shape and its word."""
    sign, word = WELDABILITY[value]
    return {"sign": sign, "word": word}


@register.inclusion_tag("components/judged.html")
def loudness(if_skipped: str) -> dict[str, Any]:
    """Draw how loudly a review speaks of what was skipped: the shape of its loudest flag."""
    return {"sign": f"s-{if_skipped.partition(' ')[0]}", "word": if_skipped.capitalize()}


@register.inclusion_tag("components/judged.html")
def verdict(value: str) -> dict[str, Any]:
    """Draw whether a tool may touch the joint: yes, with care or no."""
    sign, word = VERDICTS[value]
    return {"sign": sign, "word": word}


@register.inclusion_tag("components/bar_line.html")
def bar_line(bar: Any) -> dict[str, Any]:
    """Draw one bar of a table; the numbers stand in the row, so it is not read aloud."""
    return {"bar": bar}


@register.simple_tag
def rules_edition() -> str:
    """Return the edition of the rules that a printed sheet was made with."""
    return EDITION
