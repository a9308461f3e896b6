"""Set-up: current, gas, torch, wire feed path, tungsten and the warmth of the metal.

Rows T01 to T31 of the preparation notes, as far as a coupon can state them; ``guide_tables`` holds
all of them. Most stand in the tables ``setup_*.tsv``; what needs more than a comparison stands
here, in ``shielding_gas``, ``gas_flow``, ``wire``, ``tungsten`` and ``preheat``.
"""

from collections.abc import Iterator
from typing import Final

from weldlog.engine import gas_flow, joint_design, preheat, shielding_gas, tungsten, wire
from weldlog.engine.facts import Facts
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.gas_flow import check_flow
from weldlog.engine.joint_design import check_joint
from weldlog.engine.preheat import check_preheat
from weldlog.engine.rulebook import by_process, judge, read_rules
from weldlog.engine.shielding_gas import check_gas
from weldlog.engine.tungsten import check_tungsten
from weldlog.engine.wire import check_wire
from weldlog.engine.written import in_units

DIP_ABOVE_MM: Final = 2.0
"""Thickness above which dip transfer is questioned [mm]; common practice, no source."""

DIP_TRANSFER: Final = Rule(
    id="setup-dip-transfer",
    severity="warn",
    says="Short-circuit transfer is too cold for {thickness_text} and leaves places that did "
    "not fuse. Use spray or pulsed transfer above {wanted_text}.",
    source="prep-S1",
    fields=("transfer", "base_metals.thickness_mm"),
)
THICK_FOR_GTAW_MM: Final = 9.0
"""Thickness from which GTAW in argon is helped by more than current [mm]; common practice, no
source."""

THICK_PLATE: Final = Rule(
    id="setup-thick-plate",
    severity="advise",
    says="{thickness_text} is thick for GTAW in argon: the plate draws the heat away, and the "
    "start may lie on it without fusing. More current, argon with helium, or a preheat that your "
    "instructor sets, helps.",
    source="practice",
    fields=("base_metals.thickness_mm", "shielding_gas", "preheat_c"),
)
_TABLES: Final = tuple(
    each for name in ("current", "gas", "torch", "wire") for each in read_rules(f"setup_{name}.tsv")
)
_BY_PROCESS: Final = by_process(_TABLES)
_TAUGHT_WITH_HELIUM: Final = "setup-dcen-helium"

RULES: Final[tuple[Rule, ...]] = (
    *(each.rule for each in _TABLES),
    *shielding_gas.RULES,
    *gas_flow.RULES,
    DIP_TRANSFER,
    THICK_PLATE,
    *wire.RULES,
    *tungsten.RULES,
    *preheat.RULES,
    *joint_design.RULES,
)


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Judge the set-up of one coupon.

    Parameters
    ----------
    case : Case
        A school that teaches GTAW on DCEN with helium is not warned of it.
    """
    for each in judge(_BY_PROCESS[case.facts.process], case.facts):
        taught = isinstance(each, Finding) and each.rule.id == _TAUGHT_WITH_HELIUM
        if not (taught and case.school.dcen_with_helium):
            yield each
    yield from check_gas(case.facts)
    yield from check_flow(case.facts)
    yield from _dip_transfer(case.facts)
    yield from _thick_plate(case.facts)
    yield from check_wire(case.facts)
    yield from check_tungsten(case)
    yield from check_preheat(case.facts)
    yield from check_joint(case.facts)


def _dip_transfer(facts: Facts) -> Iterator[Finding | NotAssessed]:
    if facts.process != "GMAW" or facts.transfer in ("spray", "pulsed"):
        return
    thickest = _thickest(facts)
    if facts.transfer is None or not thickest:
        logged = (("transfer", facts.transfer), ("base_metals.thickness_mm", thickest or None))
        missing = tuple(name for name, value in logged if value is None)
        yield NotAssessed("metal transfer for the thickness", missing)
    elif thickest > DIP_ABOVE_MM:
        yield DIP_TRANSFER.found(
            measured=thickest,
            limit=DIP_ABOVE_MM,
            thickness=thickest,
            wanted=DIP_ABOVE_MM,
            thickness_text=in_units(thickest, "mm", unlike=DIP_ABOVE_MM),
            wanted_text=in_units(DIP_ABOVE_MM, "mm"),
        )


def _thick_plate(facts: Facts) -> Iterator[Finding]:
    """Advise on thick plate that neither helium nor a preheat helped."""
    helped = facts.preheat_c is not None or facts.shielding_gas in ("helium", "argon_helium")
    thickest = _thickest(facts)
    if facts.process == "GTAW" and thickest >= THICK_FOR_GTAW_MM and not helped:
        yield THICK_PLATE.found(
            measured=thickest,
            limit=THICK_FOR_GTAW_MM,
            thickness_text=in_units(thickest, "mm"),
        )


def _thickest(facts: Facts) -> float:
    return max((side.thickness_mm or 0 for side in facts.base_metals or ()), default=0)
