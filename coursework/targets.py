"""How an exercise is shown: its title block and the windows it aims at."""

from django.utils.translation import gettext as _

from coursework.choices import words_of
from coursework.measures import SUFFIXES, with_unit
from coursework.models import Exercise
from coursework.templatetags.weldlog_tags import significant
from weldlog.engine import units


def title_cells(exercise: Exercise) -> list[dict[str, str]]:
    """Return the cells of an exercise's title block."""
    thickness, other = with_unit("thickness_mm", exercise.thickness_mm)
    return [
        {"label": _("Process"), "value": words_of("process", exercise.process), "small": ""},
        {
            "label": _("Joint"),
            "value": words_of("joint", exercise.joint),
            "small": words_of("position", exercise.position),
        },
        {"label": _("Metal"), "value": exercise.metal, "small": f"{thickness} · {other}"},
        {"label": _("Filler"), "value": exercise.filler or _("none"), "small": ""},
    ]


def window_lines(exercise: Exercise, metric: bool) -> list[tuple[str, str, str]]:
    """Return the target windows of an exercise: name, range, the range in the other units."""
    lines = []
    for window in exercise.windows.all():
        unit, shop = next((u, s) for suffix, u, s, _n in SUFFIXES if window.figure.endswith(suffix))
        ranges = [f"{window.low:.3g}–{window.high:.3g}\u00a0{unit}"]
        if shop:
            low, high = (
                units.convert(x, unit, {"CFH": "ft3/h"}.get(shop, shop))
                for x in (window.low, window.high)
            )
            ranges.append(f"{significant(low, 2)}–{significant(high, 2)}\u00a0{shop}")
        first, *rest = ranges if metric else reversed(ranges)
        lines.append((window.get_figure_display(), first, "".join(rest)))
    return lines
