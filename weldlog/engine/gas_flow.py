"""Whether enough gas flowed (rows T24 and T25).

The line for GTAW goes with the thickness. Common practice takes at least 5 L/min through a usual
nozzle, but on sheet of 0.8 and 1.2 mm 3.4 to 4.5 L/min stand in heat-S24, Tables 6.2 and 6.3, and
from 1.6 mm on the tables of heat-S19 to heat-S22 begin at 5 to 7. So sheet up to 1.6 mm, where
small torches and little current are used, is questioned below 3.4 L/min, and all else below 5.
"""

from collections.abc import Iterator
from typing import Final

from weldlog.engine.facts import Facts
from weldlog.engine.findings import Finding, NotAssessed, Rule
from weldlog.engine.sources import Sourced
from weldlog.engine.written import in_units

SHEET_UP_TO_MM: Final = 1.6
"""Thickness up to which the line for sheet is taken [mm]."""

LEAST_ON_SHEET_L_MIN: Final = Sourced(3.4, "heat-S24")
LEAST_GTAW_L_MIN: Final = Sourced(5.0, "practice")
LEAST_GMAW_L_MIN: Final = Sourced(12.0, "practice")
HELIUM_FACTOR: Final = Sourced(1.5, "practice")
"""How many times the least flow of argon the least flow of pure helium is; how much helium a mix
holds is not logged."""

FLOW_LOW: Final = Rule(
    id="setup-gas-flow-low",
    severity="warn",
    says="The gas flow was {logged_text}. Below {wanted_text} air gets at the pool; check the flow "
    "at the nozzle with a flow tube.",
    source="practice",
    fields=("gas_flow_l_min",),
)
HELIUM_FLOW_LOW: Final = Rule(
    id="setup-helium-flow-low",
    severity="advise",
    says="The flow of helium was {logged_text}. Helium is light and drifts off the pool: give it "
    "one and a half to two times as much as argon, here {wanted_text} and more.",
    source="practice",
    fields=("shielding_gas", "gas_flow_l_min"),
)
RULES: Final = (FLOW_LOW, HELIUM_FLOW_LOW)
_NO_FLOW: Final = NotAssessed("gas flow", ("gas_flow_l_min",))
_NO_THICKNESS: Final = NotAssessed("gas flow for the thickness", ("base_metals.thickness_mm",))


def check_flow(facts: Facts) -> Iterator[Finding | NotAssessed]:
    """Judge whether the gas flow is too low for the process and the thickness; equality is enough.

    The thicker side decides, since it takes the larger current. Where the thickness is missing
    and would decide, it is asked for.
    """
    flow = facts.gas_flow_l_min
    if flow is None:
        yield _NO_FLOW
    elif facts.process == "GMAW":
        yield from _below(flow, LEAST_GMAW_L_MIN.value, facts)
    elif flow < HELIUM_FACTOR.value * LEAST_GTAW_L_MIN.value:
        yield from _gtaw(flow, facts)


def _gtaw(flow: float, facts: Facts) -> Iterator[Finding | NotAssessed]:
    sizes = [side.thickness_mm for side in facts.base_metals or ()]
    thickest = max((size for size in sizes if size is not None), default=None)
    if thickest is not None and thickest > SHEET_UP_TO_MM:
        yield from _below(flow, LEAST_GTAW_L_MIN.value, facts)
        return
    low = [*_below(flow, LEAST_ON_SHEET_L_MIN.value, facts)]
    yield from low
    if not low and flow < LEAST_GTAW_L_MIN.value and (thickest is None or None in sizes):
        yield _NO_THICKNESS


def _below(flow: float, least: float, facts: Facts) -> Iterator[Finding]:
    """Hold a flow against that of argon, then a flow of helium against that of helium."""
    if flow < least:
        yield _found(FLOW_LOW, flow, least)
    elif facts.shielding_gas == "helium" and flow < HELIUM_FACTOR.value * least:
        yield _found(HELIUM_FLOW_LOW, flow, HELIUM_FACTOR.value * least)


def _found(rule: Rule, flow: float, least: float) -> Finding:
    return rule.found(
        measured=flow,
        limit=least,
        logged=flow,
        wanted=least,
        logged_text=in_units(flow, "L/min", unlike=least),
        wanted_text=in_units(least, "L/min"),
    )
