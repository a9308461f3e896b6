"""Which gas shields the weld (rows T22 and T23)."""

from collections.abc import Iterator
from typing import Final

from weldlog.engine.facts import Facts, ShieldingGas
from weldlog.engine.findings import Finding, NotAssessed, Rule

GAS: Final = Rule(
    id="setup-gas",
    severity="stop",
    says="The log says {gas}. {effect} Aluminum takes argon, helium or a mix of the two; change "
    "the bottle.",
    source="prep-S33b",
    fields=("shielding_gas",),
)
HELIUM_ON_AC: Final = Rule(
    id="setup-helium-ac",
    severity="advise",
    says="Pure helium on AC makes the arc hard to start and unsteady, and it cleans less. Use "
    "argon, or for thick plate argon with helium.",
    source="practice",
    fields=("process", "polarity", "shielding_gas"),
)
HELIUM_GMAW: Final = Rule(
    id="setup-helium-gmaw",
    severity="advise",
    says="In pure helium the arc of GMAW is unsteady and spatters, because spray needs argon. Use "
    "argon, or for thick plate argon with helium.",
    source="practice",
    fields=("process", "shielding_gas"),
)
RULES: Final = (GAS, HELIUM_ON_AC, HELIUM_GMAW)

_OXIDIZES: Final = "oxidizes the pool, and its skin stays in the weld."
# What a gas is called, and what it does to aluminum; memory-handbooks, prep-S33b.
_UNFIT: Final[dict[ShieldingGas, tuple[str, str]]] = {
    "argon_co2": ("argon with carbon dioxide", f"Carbon dioxide {_OXIDIZES}"),
    "argon_oxygen": ("argon with oxygen", f"Oxygen {_OXIDIZES}"),
    "argon_hydrogen": (
        "argon with hydrogen",
        "Hydrogen goes into the pool and leaves it as pores when it freezes.",
    ),
    "co2": ("carbon dioxide", f"It {_OXIDIZES}"),
    "nitrogen": ("nitrogen", "It makes the arc rough and leaves hard nitrides in the pool."),
}
_NOT_LOGGED: Final = NotAssessed("shielding gas", ("shielding_gas",))


def check_gas(facts: Facts) -> Iterator[Finding | NotAssessed]:
    """Judge the kind of gas; how much of it flowed is judged by ``gas_flow``."""
    gas = facts.shielding_gas
    if gas is None:
        yield _NOT_LOGGED
    elif gas == "helium":
        if facts.process == "GMAW":
            yield HELIUM_GMAW.found(measured=gas)
        elif facts.polarity == "AC":
            yield HELIUM_ON_AC.found(measured=gas)
    elif gas in _UNFIT:
        name, effect = _UNFIT[gas]
        yield GAS.found(measured=gas, logged=gas, gas=name, effect=effect)
