"""Safety: the dangers that were logged, and the cautions shown beside the work."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.engine.cases_cleaning import BRUSH, CLEAN, DEGREASE, DRY, cleaned, gmaw, gtaw, metal
from tests.engine.contract import EXAMPLES, example
from tests.engine.judging import any_coupon, case_of, found, severities
from weldlog.engine import cleaning, safety
from weldlog.engine.facts import read
from weldlog.engine.findings import Finding
from weldlog.engine.safety import CAUTIONS, cautions


def shown(document: object) -> set[str]:
    return {caution.id for caution in cautions(read(document))}


@pytest.mark.parametrize("step", ["degrease", "wipe", "other"])
def test_chlorinated_solvent_is_the_first_stop_and_offers_no_waiting(step: str) -> None:
    """Source: WIA manual text and WAC 296-155-415 (phosgene under the arc); read."""
    coupon = cleaned(
        *CLEAN,
        {"step": step, "agent": "acid_etch", "tool": "bonded_wheel"},
        {"step": step, "agent": "chlorinated"},
    )
    first = next(iter(found(safety, coupon).values()))
    assert (first.rule.id, first.severity) == ("safety-chlorinated-solvent", "stop")
    assert "wait" not in first.says


other_steps = st.lists(
    st.fixed_dictionaries(
        {"step": st.sampled_from(["degrease", "dry", "remove_oxide", "wipe", "cover", "other"])},
        optional={"agent": st.sampled_from(["acetone", "alkaline", "alcohol", "other", "none"])},
    ),
    max_size=5,
)


@given(steps=other_steps, place=st.integers(0, 5), minutes=st.integers(0, 2000))
def test_nothing_on_a_coupon_with_chlorinated_solvent_tells_anybody_to_wait_or_dry(
    steps: list[dict[str, str]], place: int, minutes: int
) -> None:
    """Source: WIA manual text and WAC 296-155-415; read. No wait makes that part safe."""
    wiped = {"step": "wipe", "agent": "chlorinated"}
    coupon = cleaned(*steps[:place], wiped, *steps[place:], minutes_since_cleaning=minutes)
    for family in (safety, cleaning):
        for said in found(family, coupon).values():
            assert not re.search(r"\bwait|let (it|the metal) dry|weld soon", said.says)


@pytest.mark.parametrize("agent", ["acid_etch", "caustic_etch"])
def test_students_do_not_etch(agent: str) -> None:
    """Source: Mathers 2002 Table 4.4 (baths), TM 5-5420-279-23 (caution on alkali); read."""
    said = severities(safety, cleaned(DEGREASE | {"agent": agent}, DRY, BRUSH))
    assert said == {f"safety-{agent.replace('_', '-')}": "stop"}


def test_a_disc_that_has_cut_aluminum_is_thrown_away() -> None:
    """Common practice, no source."""
    coupon = gtaw(base_metals=[metal(edge="abrasive_disc", disc_condition="used_on_aluminium")])
    assert severities(safety, coupon) == {"safety-disc-used-again": "stop"}


@pytest.mark.parametrize("edge", ["sawn", "sheared", "machined"])
def test_a_disc_kept_for_aluminum_is_no_cut_off_disc(edge: str) -> None:
    """Common practice, no source: only the bonded disc that cut the edge is thrown away."""
    assert not found(
        safety, gtaw(base_metals=[metal(edge=edge, disc_condition="used_on_aluminium")])
    )


def test_solvent_that_dried_is_no_danger_and_a_later_wipe_is_one_again() -> None:
    """Source: migal.co preparation page (solvent must be gone before the arc); read."""
    wipe = {"step": "wipe", "agent": "acetone"}
    assert not found(safety, cleaned(*CLEAN))
    assert "safety-solvent-not-dried" in found(safety, cleaned(*CLEAN, wipe))


def test_cautions_follow_the_work() -> None:
    assert "ozone-gmaw" in shown(gmaw())
    assert "ozone-gmaw" not in shown(gtaw())
    assert {"solvent-away", "school-rules", "hot-metal"} <= shown(gtaw())
    assert "solvent-away" not in shown(gtaw(cleaning=[]))
    assert "solvent-away" in shown(cleaned({"step": "degrease"}, DRY, BRUSH))
    assert "solvent-away" not in shown(cleaned(DEGREASE | {"agent": "alkaline"}, DRY, BRUSH))
    assert "closed-container" in shown(gtaw(work="repair"))
    assert "closed-container" not in shown(gtaw(work="fabrication"))
    assert "chromium" in shown(gtaw(base_metals=[metal(coating="paint")]))


def test_prep_C38_the_filter_shades_are_those_of_the_rule() -> None:
    """Source: 29 CFR 1910.133: GTAW 50-150 A shade 8, 150-500 A 10; GMAW 60-500 A 10; read."""
    says = {caution.id: caution.says for caution in CAUTIONS}
    assert "at least 8 up to 150 A and 10 above" in says["arc-light-gtaw"]
    assert "at least 10 from 60 A" in says["arc-light-gmaw"]


def test_every_row_of_the_dossier_is_a_caution_with_its_documents() -> None:
    assert {caution.row for caution in CAUTIONS} == {f"F{number:02}" for number in range(1, 23)}
    assert len({caution.id for caution in CAUTIONS}) == len(CAUTIONS)
    assert all(caution.documents for caution in CAUTIONS)


@pytest.mark.parametrize("name", [path.stem for path in EXAMPLES])
def test_the_examples_of_the_contract_log_no_danger(name: str) -> None:
    assert not found(safety, example(name))


@settings(deadline=None)
@given(coupon=any_coupon("cleaning", "base_metals", "tungsten", "transfer", "joint"))
def test_any_coupon_of_the_contract_is_judged_without_an_exception(coupon: object) -> None:
    case = case_of(coupon)
    for each in safety.check(case):
        assert each.says if isinstance(each, Finding) else each.missing
    assert {"school-rules", "hot-metal", "fire-watch"} <= {
        caution.id for caution in cautions(case.facts)
    }
