"""What the sheet of a term record shows, on screen and on paper: charts, spreads, QR code."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import segno
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from coursework.drawing import DotChart, trace
from coursework.measures import with_unit
from coursework.models import Exercise
from coursework.record import (
    CheckTestLine,
    Comment,
    CouponLine,
    ExerciseLine,
    FigureSpread,
    Hours,
    InWindow,
    Safety,
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
        **print_words(sha256),
        "qr": qr(address) if address else "",
        "trends": trends(record),
        "figure_names": [(str(name), str(unit)) for name, unit, _figures in FIGURES.values()],
        "figure_rows": [(each, spreads(each)) for each in record.exercises if each.figures],
        "in_window": [(FIGURES[each.name][0], each) for each in record.in_window],
        "hopefulness": hopefulness(record.prediction.mean_difference),
        "last_comments": last_comments(record.comments),
        "tests": tests(record.check_tests),
        "noted_tests": [each for each in record.check_tests if each.note],
        "coupons": coupon_rows(record),
        **safety_words(record.safety),
        **hours_words(record.hours),
    }


def print_words(sha256: str) -> dict[str, str]:
    """Return the fingerprint whole, and its beginning in groups to read out and to compare."""
    groups = " ".join(sha256[at : at + 4] for at in range(0, 16, 4)) if sha256 else ""
    return {"sha256": sha256, "fingerprint": groups}


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


def tests(lines: Sequence[CheckTestLine]) -> list[dict[str, Any]]:
    """Return the check tests of each exercise and kind: how many, and how many were passed."""
    found: dict[tuple[str, str], list[CheckTestLine]] = {}
    for each in lines:
        found.setdefault((each.exercise, each.kind), []).append(each)
    return [
        {
            "exercise": exercise,
            "kind": Exercise.CheckTest(kind).label,
            "tested": len(own),
            "passed": sum(each.passed for each in own),
            "largest_opening_mm": max(
                (mm for each in own if (mm := each.largest_opening_mm) is not None), default=None
            ),
        }
        for (exercise, kind), own in found.items()
    ]


def coupon_rows(record: TermRecord) -> list[tuple[CouponLine, str, str]]:
    """Return each coupon with what differs from its exercise's metal and filler, and its test."""
    asked = {f"{one.place} {one.title}": stock(one.metal, one.filler) for one in record.exercises}
    tested = {each.coupon: each.passed for each in record.check_tests}
    words = {
        coupon: _("test passed") if passed else _("test failed")
        for coupon, passed in tested.items()
    }
    rows = []
    for each in record.coupons:
        used = stock(each.metal, "" if each.filler == "none" else each.filler)
        other = "" if used == asked.get(each.exercise) else used
        rows.append((each, other, words.get(each.number, "")))
    return rows


def stock(metal: str, filler: str) -> str:
    """Return metal and filler in words; no filler is empty."""
    return f"{metal or '–'}, {filler or _('no filler')}"


def safety_words(safety: Safety | None) -> dict[str, str]:
    """Return the safety stops of a term in a few words and in a sentence; none of an old record."""
    if safety is None:
        return {}
    count = sum(each.count for each in safety.by_week)
    share = {"count": count, "of": sum(each.of for each in safety.by_week), "open": safety.open}
    if not count:
        said = _("None: nothing stopped the work on any of %(of)d coupons.") % share
        return {"safety_sum": _("No safety stop."), "safety_said": said}
    stopped = ngettext(
        "Safety stops on %(count)d coupon", "Safety stops on %(count)d coupons", count
    )
    still = _("%(open)d of them open.") % share if safety.open else _("none open.")
    said = (
        _("%(count)d of %(of)d coupons had a safety stop; open are those not graded yet.") % share
    )
    return {"safety_sum": f"{stopped % share}, {still}", "safety_said": said}


def hours_words(hours: Hours | None) -> dict[str, str]:
    """Return the arc time in a few words, and in sentences what it is the sum of."""
    if hours is None or not hours.coupons.of:
        return {}
    figures = {
        "time": time_words(*hours.arc_time_h_min),
        "count": hours.coupons.count,
        "of": hours.coupons.of,
        "timed": hours.timed,
        "days": hours.days,
    }
    said = _(
        "Arc time %(time)s, told by %(count)d of %(of)d coupons, %(timed)d of them timed with the "
        "stopwatch of the log; coupons were handed in on %(days)d days. Time in the booth without "
        "an arc is not in it."
    )
    return {
        "hours_sum": _("%(time)s of arc time on %(days)d days.") % figures,
        "hours_said": said % figures,
    }


def time_words(hours: int, minutes: int) -> str:
    """Return a time in hours and minutes, such as 1 h 31 min."""
    if not hours:
        return _("%(minutes)d min") % {"minutes": minutes}
    return _("%(hours)d h %(minutes)d min") % {"hours": hours, "minutes": minutes}


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
