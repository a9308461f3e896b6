"""The counts of a term record add up, whatever a student and the instructors did."""

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coursework import access
from coursework.models import Exercise, User
from coursework.record import CouponLine, FigureSpread, Share
from coursework.record_making import term_record
from tests.coursework.golden_term import Typed, live, tell
from tests.factories import EnrolmentFactory


def histories() -> st.SearchStrategy[list[Typed]]:
    """Draw terms of up to eight coupons of one exercise, whatever becomes of them."""
    plain = Typed("GTAW", 0, 14, 135, 150, 37.5)
    levels = st.lists(st.integers(1, 4), min_size=1, max_size=3).map(tuple)

    def one(day: int, fate: str, given: tuple[int, ...], own: int | None, cleaned: str) -> Typed:
        graded = fate in {"accepted", "returned"}
        return replace(
            plain, day=day, fate=fate, levels=given if graded else (), own=own, cleaned=cleaned
        )

    drawn = st.builds(
        one,
        st.integers(0, 80),
        st.sampled_from(["accepted", "returned", "waiting", "withdrawn", "held"]),
        levels,
        st.none() | st.integers(1, 4),
        st.sampled_from(["in order", "backwards", "unsafe", "not asked"]),
    )
    return st.lists(drawn, max_size=8)


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(history=histories())
def test_the_counts_of_any_history_add_up(
    history: list[Typed], exercise: Exercise, instructor: User
) -> None:
    enrolment = EnrolmentFactory.create(section=instructor.enrolments.get().section)
    tell(enrolment, {"GTAW": exercise}, instructor, tuple(history))
    record = term_record(access.enrolments(instructor).get(pk=enrolment.pk))
    own = [each for _n, each in live(tuple(history))]
    line = record.exercises[0]
    assert len(record.coupons) == line.logged == record.logged == len(own)
    assert line.logged == line.good + line.returned + line.waiting
    assert record.withdrawn == len(history) - len(own)
    assert states(record.coupons) == {
        "accepted": line.good,
        "returned": line.returned,
        "waiting": line.waiting,
    }
    graded = [each.levels[-1] for each in own if each.levels]
    assert line.best_level == max(graded, default=None)
    assert record.prediction.same.of == sum(
        bool(each.levels) and each.own is not None for each in own
    )
    assert record.safety
    assert len(record.safety.stops) == sum(each.cleaned == "unsafe" for each in own)
    assert record.safety.open == line.safety_open
    assert sum(each.of for each in record.safety.by_week) == len(own)
    assert sum(each.count for each in record.safety.by_week) == len(record.safety.stops)
    asked = [each for each in own if each.cleaned != "not asked"]
    assert sum(each.of for each in record.cleaning_in_order) == len(asked)
    assert record.hours
    assert record.hours.coupons == Share(len(own), len(own))
    assert record.hours.days == len({each.day for each in own})
    assert all(spread_adds_up(each) for each in line.figures)


def states(lines: tuple[CouponLine, ...]) -> dict[str, int]:
    found = [each.state for each in lines]
    return {state: found.count(state) for state in ("accepted", "returned", "waiting")}


def spread_adds_up(figure: FigureSpread) -> bool:
    share = figure.in_window
    return share is None or (share.of == figure.all.coupons and 0 <= share.count <= share.of)
