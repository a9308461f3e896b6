"""The figures of a coupon as a page shows them, in both unit systems."""

import pytest

from coursework.wording import FIGURES, FURTHER_FIGURES, figures, since_last
from tests.engine.cases_bead import ROD, WIRE, legs
from tests.engine.cases_heat import SMALL
from weldlog.engine.facts import read
from weldlog.engine.review import review

Shown = dict[str, tuple[str, str, str]]


def shown(document: dict[str, object], *, shop_first: bool = False) -> Shown:
    """Return the figures of a coupon by name: value, the same in the other unit, and how."""
    worked_out = review(read(document)).as_json()["figures"]
    rows = figures(worked_out, document, [], shop_first=shop_first)
    return {
        row["name"]: (f"{row['value_text']} {row['unit']}", row["other_text"], row["how"])
        for row in rows
    }


# Identities on the stated inputs; 1 in = 25.4 mm, a step of 5 °C is one of 9 °F.
@pytest.mark.parametrize(
    ("document", "name", "metric", "shop"),
    [
        # heat notes CV25: 19.747 mm², leg 6.284 mm
        (WIRE, "Metal from the wire", "19.7 mm²", "0.0306\u00a0in²"),
        (WIRE, "Leg that the wire makes", "6.3 mm", "0.25\u00a0in"),
        # heat notes CV31: 18 mm²
        (WIRE | legs(6), "Metal in the weld", "18.0 mm²", "0.0279\u00a0in²"),
        # heat notes CV32: 169.8 mm
        (ROD, "Rod that the weld takes", "170 mm", "6.7\u00a0in"),
        # heat notes CV42: 195.3 K, two figures at most
        (SMALL, "Warming of the coupon, at most", "200 °C more", "350\u00a0°F more"),
        # heat-S25, 5 mm fillet: 1.07 mm³/(A s)
        (WIRE | {"current_a": 158}, "Wire melted for each amp", "1.1 mm³/(A s)", ""),
    ],
)
def test_a_figure_stands_in_both_unit_systems(
    document: dict[str, object], name: str, metric: str, shop: str
) -> None:
    value, other, how = shown(document)[name]
    assert (value, other) == (metric, shop)
    assert how


def test_the_shop_unit_comes_first_where_the_school_has_it_so() -> None:
    value, other, _how = shown(SMALL, shop_first=True)["Warming of the coupon, at most"]
    assert (value, other) == ("350 °F more", "200\u00a0°C more")


def test_how_a_figure_was_got_says_what_it_takes_for_granted() -> None:
    balance = {"polarity": "AC", "current_a": 150, "ac": {"en_percent": 65}}
    assert "0.97 of the wire stays, common practice" in shown(WIRE)["Metal from the wire"][2]
    # heat notes CV21: 0.440 by the 30/70 model, from memory
    model = shown({"process": "GTAW"} | balance)["Heat into the tungsten"]
    assert model[0] == "44 %"
    assert "teaching model" in model[2]
    assert "no heat was lost" in shown(SMALL)["Warming of the coupon, at most"][2]


def test_what_could_not_be_worked_out_is_not_shown() -> None:
    names = {str(kind.name) for kind in FURTHER_FIGURES}
    assert names.isdisjoint(shown({"process": "GTAW"}))


def test_only_the_main_figures_are_held_against_the_coupon_before() -> None:
    worked_out = review(read(WIRE)).as_json()["figures"]
    before = {name: value / 2 for name, value in worked_out.items() if isinstance(value, float)}
    compared = {name.partition(",")[0] for name, _last, _this in since_last(worked_out, before)}
    assert compared
    assert compared <= {str(kind.name) for kind in FIGURES}


def test_a_figure_that_reads_the_same_as_before_is_no_change() -> None:
    worked_out = review(read(WIRE)).as_json()["figures"]
    assert since_last(worked_out, worked_out) == []
