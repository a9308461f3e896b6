"""What a term record counts over the coupons: cleaning, imperfections, judgment, safety, hours."""

from collections import Counter

from coursework.models import Coupon
from coursework.record import (
    Hours,
    ImperfectionFading,
    Imperfections,
    Prediction,
    Safety,
    SafetyKind,
    SafetyStop,
    Share,
    WeekShare,
)
from coursework.record_figures import by_week, rounded, share
from coursework.record_listing import UNDECIDED, arc_time_s
from coursework.record_log import Log, of_an_entry, of_safety
from coursework.wording import imperfection


def cleaning_in_order(log: Log) -> tuple[WeekShare, ...]:
    """Return by week how many of the coupons that say how they were cleaned break no order rule.

    What had a safety stop was not in order, whatever the order of its steps.
    """
    asked = [each for each in log.coupons if each.facts and each.facts.cleaning_asked]
    return by_week((log.week(each), all(map(of_an_entry, log.found(each)))) for each in asked)


def imperfections(log: Log) -> Imperfections:
    """Count coupons by imperfection; of an odd number the middle one is in the second half."""
    looked_at = [
        {each.number for each in coupon.facts.imperfections.all()}
        for coupon in log.coupons
        if coupon.facts and coupon.facts.imperfections_asked
    ]
    half = len(looked_at) // 2
    first = Counter(number for seen in looked_at[:half] for number in seen)
    second = Counter(number for seen in looked_at[half:] for number in seen)
    both = first + second
    return Imperfections(
        first_half_coupons=half,
        second_half_coupons=len(looked_at) - half,
        seen=tuple(
            ImperfectionFading(number, imperfection(number)["name"], first[number], second[number])
            for number in sorted(both, key=lambda number: (-both[number], number))
        ),
    )


def prediction(log: Log) -> Prediction:
    """Compare the student's own level with the one given, over graded coupons that have both."""
    off = [
        (coupon, coupon.predicted_level - coupon.grade.level)
        for coupon in log.coupons
        if coupon.is_graded and coupon.grade and coupon.predicted_level is not None
    ]
    near = [(coupon, abs(difference) <= 1) for coupon, difference in off]
    return Prediction(
        same=share([difference == 0 for _coupon, difference in off]),
        within_one=share([yes for _coupon, yes in near]),
        mean_difference=rounded(sum(each for _coupon, each in off) / len(off)) if off else None,
        by_week=by_week((log.week(coupon), yes) for coupon, yes in near),
    )


def safety(log: Log) -> Safety:
    """Return the safety stops, and which coupons with one nobody has graded yet."""
    stops = [each for coupon in log.coupons for each in _stops(log, coupon)]
    found = Counter(each.rule for each in stops)
    still_open = Counter(each.rule for each in stops if each.open)
    says = {each.rule: each.says for each in reversed(stops)}
    unsafe = {each.coupon for each in stops}
    return Safety(
        stops=tuple(stops),
        by_kind=tuple(
            SafetyKind(rule, says[rule], found[rule], still_open[rule])
            for rule in sorted(found, key=lambda rule: (-found[rule], rule))
        ),
        by_week=by_week((log.week(each), each.number in unsafe) for each in log.coupons),
        open=still_open.total(),
    )


def hours(log: Log) -> Hours:
    """Sum up the arc time over the coupons that tell it, and count the days of hand-in."""
    told = [(each, time) for each in log.sound if (time := arc_time_s(each)) is not None]
    days = {each.handed_in_at.astimezone(log.zone).date() for each in log.coupons}
    return Hours(
        arc_time_s=rounded(sum(time for _coupon, time in told)) or 0.0,
        coupons=Share(len(told), len(log.coupons)),
        timed=sum(bool(each.facts and each.facts.arc_time_timed) for each, _time in told),
        days=len(days),
        first_day=min(days, default=None),
        last_day=max(days, default=None),
    )


def _stops(log: Log, coupon: Coupon) -> list[SafetyStop]:
    return [
        SafetyStop(
            coupon=coupon.number,
            exercise=str(coupon.exercise),
            handed_in_at=coupon.handed_in_at,
            week=log.week(coupon),
            rule=rule,
            says=says,
            open=coupon.state in UNDECIDED,
        )
        for rule, says in log.found(coupon).items()
        if of_safety(rule)
    ]
