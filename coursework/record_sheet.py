"""What the sheet of a term record shows, on screen and on paper: charts, spreads, QR code."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import segno
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coursework.drawing import DotChart, trace
from coursework.measures import with_unit
from coursework.record import (
    Comment,
    ExerciseLine,
    FigureSpread,
    InWindow,
    Spread,
    TermRecord,
    WeekShare,
)
from coursework.templatetags.weldlog_tags import significant

# Name and significant figures, in the order in which they are shown.
FIGURES: Final = {
    "travel_speed_mm_s": (gettext_lazy("Travel speed"), gettext_lazy("mm/s"), 2),
    "arc_energy_kj_mm": (gettext_lazy("Arc energy"), gettext_lazy("kJ/mm"), 3),
    "heat_input_kj_mm": (gettext_lazy("Heat input"), gettext_lazy("kJ/mm"), 2),
}
FEWEST_WEEKS_FOR_A_TREND: Final = 3
TREND_PX: Final = 26


@dataclass(frozen=True, slots=True)
class Trend:
    """A share by week, drawn small, with its first and last value written beside it."""

    title: str
    chart: DotChart | None
    sentence: str
    first: str
    last: str


def sheet(
    record: TermRecord, sha256: str = "", address: str = "", *, top: int = 1
) -> dict[str, Any]:
    """Return what ``record_sheet.html`` is rendered with.

    Parameters
    ----------
    record : TermRecord
        What is shown.
    sha256 : str
        The fingerprint of its master; empty in a preview.
    address : str
        Where the issued record is shown, for the QR code; empty in a preview.
    top : int
        The level of the first heading: 1 on paper, 2 on a page with a title of its own.
    """
    return {
        "record": record,
        "top": top,
        "sub": top + 1,
        "address": address,
        "fingerprint": " ".join(sha256[at : at + 4] for at in range(0, 16, 4)) if sha256 else "",
        "qr": qr(address) if address else "",
        "trends": trends(record),
        "figure_names": [(str(name), str(unit)) for name, unit, _figures in FIGURES.values()],
        "figure_rows": [(each, spreads(each)) for each in record.exercises if each.figures],
        "in_window": [(FIGURES[each.name][0], each) for each in record.in_window],
        "hopefulness": hopefulness(record.prediction.mean_difference),
        "last_comments": last_comments(record.comments),
    }


def qr(address: str) -> SafeString:
    """Return a QR code of an address as SVG with fill and stroke of its own."""
    said = _("QR code: %(address)s") % {"address": address}
    code = segno.make(address, error="m", micro=False)
    drawn = code.svg_inline(border=4, omitsize=True, light="#fff", title=said)
    return mark_safe(drawn)  # noqa: S308 - drawn by segno, which escapes the title


def trends(record: TermRecord) -> list[Trend]:
    """Return what a reader looks at first: cleaning, the figure with most windows, judgment."""
    found = [trend(_("Cleaning in order"), record.cleaning_in_order)]
    if figure := _most_in_window(record.in_window):
        name = _("%(figure)s in its window") % {"figure": FIGURES[figure.name][0]}
        found.append(trend(name, figure.by_week))
    return [*found, trend(_("Own level within one of the grade"), record.prediction.by_week)]


def trend(title: str, weeks: Sequence[WeekShare]) -> Trend:
    """Return a share by week; a week without coupons leaves a gap, fewer than three say nothing."""
    known = [(each.week, each.percent) for each in weeks if each.percent is not None]
    if len(known) < FEWEST_WEEKS_FOR_A_TREND:
        return Trend(title, None, "", "", "")
    by_week, first, last = dict(known), known[0], known[-1]
    points = [(str(week), by_week.get(week)) for week in range(first[0], last[0] + 1)]
    said = _("%(title)s, percent: %(first).0f in week %(from)d, %(last).0f in week %(to)d") % {
        "title": title,
        "first": first[1],
        "from": first[0],
        "last": last[1],
        "to": last[0],
    }
    chart = trace(points, 0, 100, plot_px=TREND_PX)
    return Trend(title, chart, said, f"{first[1]:.0f}", f"{last[1]:.0f}")


def spreads(line: ExerciseLine) -> list[dict[str, str] | None]:
    """Return mean and spread of each figure of an exercise in words, None where it is missing."""
    by_name = {each.name: each for each in line.figures}
    return [_worded(by_name[name]) if name in by_name else None for name in FIGURES]


def hopefulness(difference: float | None) -> str:
    """Return in words how far the student's own level is from the grade, on average."""
    if difference is None:
        return ""
    amount = {"levels": f"{abs(difference):.1f}"}
    if amount["levels"] == "0.0":
        return _("On average neither too hopeful nor too strict.")
    if difference > 0:
        return _("On average %(levels)s of a level too hopeful.") % amount
    return _("On average %(levels)s of a level too strict.") % amount


def last_comments(comments: Sequence[Comment]) -> list[Comment]:
    """Return the newest comment on each exercise, in the order in which they were written."""
    newest = {each.exercise: each for each in comments}
    return [each for each in comments if newest[each.exercise] is each]


def _most_in_window(figures: Sequence[InWindow]) -> InWindow | None:
    return max(figures, key=lambda each: each.all.of, default=None)


def _worded(figure: FigureSpread) -> dict[str, str]:
    digits = FIGURES[figure.name][2]
    inside = figure.in_window
    share = {"count": inside.count, "of": inside.of} if inside else None
    return {
        "name": str(FIGURES[figure.name][0]),
        "mean": _mean(figure.all, digits),
        "other": with_unit(figure.name, figure.all.mean)[1],
        "inside": _("%(count)d of %(of)d in the window") % share if share else "",
        "steadier": " → ".join(_thirds(figure, digits)),
    }


def _mean(spread: Spread, digits: int) -> str:
    mean = significant(spread.mean, digits)
    if spread.standard_deviation is None:
        return mean
    return f"{mean} ± {_as_fine_as(mean, spread.standard_deviation)}"


def _as_fine_as(mean: str, deviation: float) -> str:
    """Write a spread with the decimals of its mean."""
    return f"{deviation:.{len(mean.partition('.')[2])}f}"


def _thirds(figure: FigureSpread, digits: int) -> Iterator[str]:
    mean = significant(figure.all.mean, digits)
    for third in (figure.first_third, figure.last_third):
        if third and third.standard_deviation is not None:
            yield f"± {_as_fine_as(mean, third.standard_deviation)}"
