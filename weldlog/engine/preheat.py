"""How warm the metal may be before a run and between runs (row P24, section 1.5)."""

from collections.abc import Iterator
from typing import Final

from weldlog.engine.alloys import WARM_SERVICE_MG, find
from weldlog.engine.facts import Facts
from weldlog.engine.findings import Finding, NotAssessed, Rule
from weldlog.engine.stock import series
from weldlog.engine.tables import rows
from weldlog.engine.written import in_units

PREHEAT_HIGH: Final = Rule(
    id="setup-preheat-high",
    severity="warn",
    says="The metal was preheated to {logged_text}. More than {wanted_text} drives off no more "
    "damp and can cost this alloy strength or resistance to corrosion; warm it less next time.",
    source="prep-S7",
    fields=("preheat_c", "base_metals"),
)
PREHEAT_STOP: Final = Rule(
    id="setup-preheat-stop",
    severity="stop",
    says="The metal was preheated to {logged_text}, above the {wanted_text} that any aluminum "
    "alloy here may see. It may have lost strength or resistance to corrosion; let it cool and "
    "ask your instructor.",
    source="prep-S12",
    fields=("preheat_c",),
)
INTERPASS_HIGH: Final = Rule(
    id="setup-interpass-high",
    severity="warn",
    says="The metal was at {logged_text} before the next run, and {wanted_text} is the most for "
    "6xxx: heat that adds up widens the soft zone beside the weld. Wait longer between runs.",
    source="prep-S12",
    fields=("interpass_c", "base_metals"),
)
INTERPASS_STOP: Final = Rule(
    id="setup-interpass-stop",
    severity="stop",
    says="The metal was at {logged_text} before the next run, above the limit of {wanted_text}. "
    "Stop and let it cool: heat that adds up softens the joint and can crack it.",
    source="prep-S12",
    fields=("interpass_c",),
)
RULES: Final = (PREHEAT_HIGH, PREHEAT_STOP, INTERPASS_HIGH, INTERPASS_STOP)

_LIMITS: Final = {
    (row["what"], row["metal"]): tuple(
        float(row[name]) if row[name] else None for name in ("warn_above_c", "stop_above_c")
    )
    for row in rows("temperature_limits.tsv")
}
_STRICTEST_PREHEAT_C: Final = min(
    warn for (what, _), (warn, _) in _LIMITS.items() if what == "preheat" and warn
)


def check_preheat(facts: Facts) -> Iterator[Finding | NotAssessed]:
    """Judge the preheat and interpass temperatures; what was not heated needs no answer."""
    designations = [side.alloy for side in facts.base_metals or ()]
    if facts.preheat_c is not None:
        alloys = [find(name) if name else None for name in designations]
        rich = any(alloy and alloy.nominal.mg > WARM_SERVICE_MG for alloy in alloys)
        metal = "magnesium" if rich else "other"
        yield from _judge(facts.preheat_c, "preheat", metal, (PREHEAT_HIGH, PREHEAT_STOP))
        if not rich and (None in alloys or not alloys) and facts.preheat_c > _STRICTEST_PREHEAT_C:
            yield NotAssessed("preheat of this alloy", ("base_metals.alloy",))
    interpass = _hottest(facts)
    if interpass is not None:
        metal = "6xxx" if "6" in map(series, designations) else "other"
        yield from _judge(interpass, "interpass", metal, (INTERPASS_HIGH, INTERPASS_STOP))
    elif facts.run_list or (facts.runs or 1) > 1:
        yield NotAssessed("temperature between the runs", ("interpass_c",))


def _hottest(facts: Facts) -> float | None:
    """Return the highest interpass temperature that was logged [degrees C]."""
    logged = [facts.interpass_c, *(run.interpass_c for run in facts.run_list or ())]
    return max((each for each in logged if each is not None), default=None)


def _judge(logged: float, what: str, metal: str, rules: tuple[Rule, Rule]) -> Iterator[Finding]:
    warn_above, stop_above = _LIMITS[what, metal]
    for rule, limit in ((rules[1], stop_above), (rules[0], warn_above)):
        if limit is not None and logged > limit:
            yield rule.found(
                measured=logged,
                limit=limit,
                logged=logged,
                wanted=limit,
                logged_text=in_units(logged, "°C", unlike=limit),
                wanted_text=in_units(limit, "°C"),
            )
            return
