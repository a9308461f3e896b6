"""How warm the metal may be before a run and between runs (row P24, section 1.5)."""

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Final, Literal

from weldlog.engine.alloys import WARM_SERVICE_MG, find
from weldlog.engine.facts import Facts
from weldlog.engine.findings import Finding, NotAssessed, Rule
from weldlog.engine.stock import series
from weldlog.engine.tables import rows
from weldlog.engine.units import from_base
from weldlog.engine.written import in_units

type When = Literal["preheat", "interpass"]

PREHEAT_HIGH: Final = Rule(
    id="setup-preheat-high",
    severity="warn",
    says="The metal was preheated to {logged_text}. With more than 3 % magnesium, time above "
    "{wanted_text} makes an alloy sensitive to corrosion along its grains; warm it less next time, "
    "and only for as long as it takes to dry.",
    source="prep-S7",
    fields=("preheat_c", "base_metals"),
)
PREHEAT_TEMPER: Final = Rule(
    id="setup-preheat-temper",
    severity="warn",
    says="The metal was preheated to {logged_text}. Time above {wanted_text} can cost an alloy "
    "like this some strength of its temper; warm it less next time, and only for as long as it "
    "takes to dry.",
    source="prep-S12",
    fields=("preheat_c", "base_metals"),
)
PREHEAT_STOP: Final = Rule(
    id="setup-preheat-stop",
    severity="stop",
    says="The metal was preheated to {logged_text}, above the {wanted_text} that any aluminum "
    "alloy here may see. It may have lost strength or resistance to corrosion; let it cool and "
    "ask your instructor.",
    source="prep-S10",
    fields=("preheat_c",),
)
INTERPASS_HIGH: Final = Rule(
    id="setup-interpass-high",
    severity="warn",
    says="The metal was at {logged_text} before the next run, and {wanted_text} is the most for "
    "{metal}: heat that adds up widens the soft zone beside the weld. Wait longer between runs.",
    source="prep-S12",
    fields=("interpass_c", "base_metals"),
)
INTERPASS_STOP: Final = Rule(
    id="setup-interpass-stop",
    severity="stop",
    says="The metal was at {logged_text} before the next run, above the limit of {wanted_text}. "
    "Stop and let it cool: heat that adds up softens the joint and can crack it.",
    source="prep-S16",
    fields=("interpass_c",),
)
RULES: Final = (PREHEAT_HIGH, PREHEAT_TEMPER, PREHEAT_STOP, INTERPASS_HIGH, INTERPASS_STOP)

_MAGNESIUM: Final = "magnesium"
_OTHER: Final = "other"
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
    """Judge the preheat and interpass temperatures; what was not heated needs no answer.

    A limit that the shop speaks of in degrees Fahrenheit is kept to a tenth of a degree Celsius:
    250 °F is 121.1 °C, and at the limit nothing is said.
    """
    if facts.preheat_c is not None:
        designations = _designations(facts)
        metal = _strictest("preheat", designations)
        high = PREHEAT_HIGH if metal == _MAGNESIUM else PREHEAT_TEMPER
        yield from _judge(facts.preheat_c, "preheat", metal, (high, PREHEAT_STOP))
        unknown = not designations or any(not name or not find(name) for name in designations)
        if metal != _MAGNESIUM and unknown and facts.preheat_c > _STRICTEST_PREHEAT_C:
            yield NotAssessed("preheat of this alloy", ("base_metals.alloy",))
    interpass = _hottest(facts)
    if interpass is not None:
        metal = _strictest("interpass", _designations(facts))
        yield from _judge(interpass, "interpass", metal, (INTERPASS_HIGH, INTERPASS_STOP))
    elif facts.run_list or (facts.runs or 1) > 1:
        yield NotAssessed("temperature between the runs", ("interpass_c",))


def _designations(facts: Facts) -> tuple[str | None, ...]:
    return tuple(side.alloy for side in facts.base_metals or ())


def _hottest(facts: Facts) -> float | None:
    """Return the highest interpass temperature that was logged [degrees C]."""
    if not facts.run_list:
        return facts.interpass_c
    logged = [facts.interpass_c, *(run.interpass_c for run in facts.run_list or ())]
    return max((each for each in logged if each is not None), default=None)


@lru_cache(maxsize=512)  # a class welds a few alloys over and over
def _strictest(what: When, designations: tuple[str | None, ...]) -> str:
    """Return the metal of the joint that is warned of first, as the table calls it."""
    metals = {metal for name in designations for metal in _metals(name)} | {_OTHER}
    return min(sorted(metals), key=lambda metal: _limits(what, metal)[0] or float("inf"))


def _metals(designation: str | None) -> Iterable[str]:
    alloy = find(designation) if designation else None
    if alloy and alloy.nominal.mg > WARM_SERVICE_MG:
        yield _MAGNESIUM
    yield f"{series(designation)}xxx"


def _limits(what: When, metal: str) -> tuple[float | None, ...]:
    return _LIMITS.get((what, metal), _LIMITS[what, _OTHER])


def _judge(logged: float, what: When, metal: str, rules: tuple[Rule, Rule]) -> Iterator[Finding]:
    warn_above, stop_above = _limits(what, metal)
    for rule, limit in ((rules[1], stop_above), (rules[0], warn_above)):
        if limit is not None and round(logged, 1) > limit:
            yield rule.found(
                measured=logged,
                limit=limit,
                logged=logged,
                wanted=limit,
                metal=metal,
                logged_text=_in_both_degrees(logged, unlike=limit),
                wanted_text=_in_both_degrees(limit),
            )
            return


def _in_both_degrees(celsius: float, unlike: float | None = None) -> str:
    """Write a temperature in °C with the °F of the shop beside it."""
    edge = None if unlike is None else from_base(unlike, "°F")
    fahrenheit = in_units(from_base(celsius, "°F"), "°F", unlike=edge)
    return f"{in_units(celsius, '°C', unlike=unlike)} ({fahrenheit})"
