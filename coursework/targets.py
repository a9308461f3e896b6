"""How an exercise is shown: its title block and the windows it aims at."""

from django.utils.translation import gettext as _

from coursework.choices import words_of
from coursework.measures import SUFFIXES, with_unit
from coursework.models import Coupon, Exercise
from coursework.templatetags.weldlog_tags import significant
from weldlog.engine import units

SAME_THICKNESS = 0.07
"""Share by which sheet differs from its nominal thickness without being another one; 1/8 in stock
is sold as 3 mm and as 3.2 mm (common practice, no source)."""


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


def differences(coupon: Coupon) -> list[str]:
    """Return in plain words where a coupon was made otherwise than its exercise asks."""
    exercise, document = coupon.exercise, coupon.facts.document() if coupon.facts else {}
    metals = document.get("base_metals") or [{}]
    filler = document.get("filler")
    used = (filler or {}).get("designation") if "filler" in document else None
    logged = {
        _("process"): _pair("process", document.get("process"), exercise.process),
        _("joint"): _pair("joint", document.get("joint"), exercise.joint),
        _("position"): _pair("position", document.get("position"), exercise.position),
        _("metal"): (metals[0].get("alloy"), exercise.alloy),
        _("thickness"): _thicknesses(metals[0].get("thickness_mm"), exercise.thickness_mm),
        _("filler"): (
            _("none") if filler is None and "filler" in document else used,
            exercise.filler or _("none"),
        ),
    }
    return [
        _("%(what)s: %(logged)s, asked: %(asked)s") % {"what": what, "logged": is_, "asked": asked}
        for what, (is_, asked) in logged.items()
        if is_ is not None and is_ != asked
    ]


def _pair(member: str, logged: str | None, asked: str) -> tuple[str | None, str]:
    return (words_of(member, logged) if logged else None, words_of(member, asked))


def _thicknesses(logged: float | None, asked: float) -> tuple[str | None, str]:
    if logged is None or abs(logged - asked) <= SAME_THICKNESS * asked:
        return None, ""
    return with_unit("thickness_mm", logged)[0], with_unit("thickness_mm", asked)[0]
