"""The sieve looks at many conditions at once and says what each of them says alone."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weldlog.engine.conditions import condition
from weldlog.engine.facts import NO_FILLER, Facts, Filler, Tungsten
from weldlog.engine.rulebook import read_rules
from weldlog.engine.sieve import sieve
from weldlog.engine.tables import rows

CONDITIONS = [
    *(
        each.when
        for name in ("current", "gas", "torch", "wire")
        for each in read_rules(f"setup_{name}.tsv")
    ),
    *(condition(row["when"]) for row in rows("cautions.tsv") if row["when"]),
    condition("filler is no_filler or filler.diameter_mm above 1.5 x tungsten.diameter_mm"),
    condition("tabs is not logged and weave_mm at least 4"),
    condition("draught is not true"),
]
sizes = st.none() | st.floats(0.5, 8)
coupons = st.builds(
    Facts,
    process=st.sampled_from(["GTAW", "GMAW"]),
    polarity=st.sampled_from([None, "AC", "DCEN", "DCEP"]),
    shielding_gas=st.sampled_from([None, "argon", "helium", "argon_co2"]),
    gas_flow_l_min=st.none() | st.sampled_from([4.0, 5.0, 12.0, 28.0, 29.0]),
    draught=st.sampled_from([None, True, False]),
    tabs=st.sampled_from([None, True, False]),
    weave_mm=st.none() | st.sampled_from([3.9, 4.0, 4.1]),
    torch_angle_deg=st.none() | st.sampled_from([-1.0, 0.0, 5.0, 25.0, 26.0]),
    arc_length_mm=sizes,
    tungsten=st.none() | st.builds(Tungsten, diameter_mm=sizes),
    filler=st.sampled_from([None, NO_FILLER])
    | st.builds(Filler, designation=st.just("4043"), diameter_mm=sizes),
)


@given(coupon=coupons)
def test_a_sieve_says_what_each_condition_says_alone(coupon: Facts) -> None:
    met, missing = sieve(CONDITIONS)(coupon)
    alone = [each.of(coupon) for each in CONDITIONS]
    assert [place for place, _ in met] == [place for place, each in enumerate(alone) if each.met]
    assert all(CONDITIONS[place].outcome(case, coupon) == alone[place] for place, case in met)
    assert [(each.place, each.member) for each in missing] == [
        (place, member)
        for place, each in enumerate(alone)
        if not each.met
        for member in each.fields
    ]


def test_a_member_that_facts_do_not_have_is_a_mistake_of_the_table() -> None:
    with pytest.raises(AttributeError, match="amps"):
        sieve([condition("amps above 5")])(Facts(process="GTAW"))
