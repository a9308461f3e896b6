"""The entry family: is what was typed plausible, and would a slip of the unit explain it?

Nothing is corrected and nothing is refused here. A number outside the soft band of
``tables/plausibility.tsv`` is a warning, outside the hard band a stop. Where the same digits in
another unit (``tables/slips.tsv``) would land inside the soft band, the finding suggests them.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Final

from weldlog.engine import cross_check
from weldlog.engine.facts import Facts
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule, Value
from weldlog.engine.plausibility import Band, band, slip_suggestion
from weldlog.engine.possible import DOMAINS, Number, numbers
from weldlog.engine.runs import LoggedRun, derived_speed, runs
from weldlog.engine.units import from_base
from weldlog.engine.written import in_units, span

LOWEST_EN_PERCENT: Final = 45.0
SHORTEST_MM: Final = 25.0
LONGEST_MM: Final = 1000.0
"""Lengths of a practice weld outside which its unit is doubted before that of the arc time [mm];
common practice, no source."""
_OF_ARGON: Final = ("voltage_v", "gas_flow_l_min")
MEMBERS_OF_ENERGY: Final = (
    "current_a",
    "voltage_v",
    "travel_speed_mm_s",
    "weld_length_mm",
    "arc_time_s",
    "arc_energy_kj",
    "mean_power_kw",
)


def _band_rule(name: str, noun: str, source: str, member: str) -> Rule:
    return Rule(
        id=f"entry-{name}",
        severity="warn",
        says=f"Check the entry: {noun} of {{logged_text}} is unusual for {{process}}. About "
        "{usual_text} is usual. Check the number and its unit.",
        source=source,
        fields=(member,),
    )


_BY_MEMBER: Final = {
    rule.fields[0]: rule
    for rule in (
        _band_rule("current", "a current", "heat-S24", "current_a"),
        _band_rule("voltage", "a voltage", "heat-S26", "voltage_v"),
        _band_rule("travel-speed", "a travel speed", "heat-S19", "travel_speed_mm_s"),
        _band_rule("wire-feed", "a wire feed speed", "heat-S25", "wire_feed_mm_s"),
        _band_rule("gas-flow", "a gas flow", "heat-S24", "gas_flow_l_min"),
        _band_rule("ac-frequency", "an AC frequency", "heat-S35", "ac.frequency_hz"),
        _band_rule("filler-diameter", "a filler diameter", "heat-S24", "filler.diameter_mm"),
        _band_rule("tungsten-diameter", "a tungsten diameter", "heat-S31", "tungsten.diameter_mm"),
        _band_rule("thickness", "a thickness", "practice", "base_metals.thickness_mm"),
        _band_rule("arc-energy", "an arc energy", "heat-S25", "arc_energy_kj_mm"),
    )
}
NOT_POSSIBLE = Rule(
    id="entry-not-possible",
    severity="stop",
    says="Check the entry: {noun} cannot be {logged_text}. It is kept as it was typed, but nothing "
    "is worked out from it.",
    source="practice",
    fields=(),
)
EN_OR_EP = Rule(
    id="entry-en-or-ep",
    severity="warn",
    says="Check the entry: {logged_text} electrode negative is low. Some machines show the "
    "cleaning share, EP %: if yours does, the electrode-negative share is {other_text}.",
    source="heat-S37",
    fields=("ac.en_percent",),
)
RULES: Final = (
    NOT_POSSIBLE,
    *_BY_MEMBER.values(),
    EN_OR_EP,
    *cross_check.RULES,
)


def not_possible(left_out: Iterable[Number]) -> Iterator[Finding]:
    """Question the numbers that cannot be (``possible.impossible``)."""
    for each in left_out:
        known = DOMAINS[each.member]
        yield NOT_POSSIBLE.found(
            fields=(each.field,),
            measured=each.value,
            member=each.path,
            logged=each.value,
            noun=known.noun,
            logged_text=in_units(each.value, known.unit),
        )


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Question the numbers that are unusual alone, then those that do not fit together."""
    facts = case.facts
    alone = [*_unusual_numbers(facts), *_unusual_derived_speeds(facts)]
    yield from alone
    yield from _en_or_ep(facts)
    # What was questioned is not questioned again through what follows from it.
    questioned = {field for finding in alone for field in finding.fields}
    together = [*cross_check.check(facts, questioned)]
    yield from together
    questioned |= {field for finding in together for field in finding.fields}
    yield from _arc_energy(case, questioned)


def _unusual(
    facts: Facts,
    member: str,
    value: float,
    fields: tuple[str, ...],
    suggestion: Mapping[str, Value] | None = None,
) -> Finding | None:
    """Question one value that lies outside the band of a member."""
    usual = band(facts.process, member)
    broken = usual.outside(value) if usual else None
    if usual is None or broken is None:
        return None
    severity, limit = broken
    logged, edge = from_base(value, usual.unit), from_base(limit, usual.unit)
    low, high = (from_base(end, usual.unit) for end in usual.soft)
    return _BY_MEMBER[member].found(
        severity=severity,
        fields=fields,
        measured=value,
        limit=limit,
        suggestion=suggestion,
        logged=logged,
        low=low,
        high=high,
        unit=usual.unit,
        process=facts.process,
        logged_text=in_units(logged, usual.unit, unlike=edge),
        usual_text=span(low, high, usual.unit),
    )


def _unusual_numbers(facts: Facts) -> Iterator[Finding]:
    for each in numbers(facts):
        usual = band(facts.process, each.member)
        if usual is None or usual.is_usual(each.value) or _helium_allows(facts, each, usual):
            continue
        suggestion = slip_suggestion(usual, each.path, each.member, each.value)
        finding = _unusual(facts, each.member, each.value, (each.field,), suggestion)
        if finding and each.member == "gas_flow_l_min":
            finding = _gas_question(finding)
        if finding:
            yield finding


def _helium_allows(facts: Facts, number: Number, usual: Band) -> bool:
    """Return whether helium explains a number: the usual volts and flows are those of argon."""
    in_helium = facts.shielding_gas in ("helium", "argon_helium") and number.member in _OF_ARGON
    broken = usual.outside(number.value)
    return in_helium and broken is not None and broken[0] == "warn"


def _gas_question(finding: Finding) -> Finding | None:
    """Leave the flow that is merely low or high to the set-up rules, and only ask about ft³/h."""
    if finding.severity == "stop":
        return finding
    return replace(finding, severity="advise") if finding.suggestion else None


def _unusual_derived_speeds(facts: Facts) -> Iterator[Finding]:
    """Question a speed that follows from length and time, and look for the slip in those."""
    usual = band(facts.process, "travel_speed_mm_s")
    for at, run in runs(facts):
        speed = derived_speed(run) if run.travel_speed_mm_s is None else None
        if usual is None or speed is None or usual.is_usual(speed):
            continue
        fields = at + "weld_length_mm", at + "arc_time_s"
        suggestion = _slip_of_speed(usual, at, run, speed)
        finding = _unusual(facts, "travel_speed_mm_s", speed, fields, suggestion)
        if finding:
            yield finding


def _slip_of_speed(usual: Band, at: str, run: LoggedRun, speed: float) -> dict[str, Value] | None:
    """Return the slip of length or time that explains a derived speed, the likelier one first."""
    length, time = run.weld_length_mm, run.arc_time_s
    slips = [
        slip_suggestion(usual, at + "arc_time_s", "arc_time_s", speed, power=-1, of=time),
        slip_suggestion(usual, at + "weld_length_mm", "weld_length_mm", speed, of=length),
    ]
    if length is not None and not SHORTEST_MM <= length <= LONGEST_MM:
        slips.reverse()
    return next((slip for slip in slips if slip), None)


def _en_or_ep(facts: Facts) -> Iterator[Finding]:
    """Question a low electrode-negative share; the set-up rules judge the others."""
    share = facts.ac.en_percent if facts.ac else None
    if share is not None and share < LOWEST_EN_PERCENT:
        other = 100 - share
        yield EN_OR_EP.found(
            measured=share,
            limit=LOWEST_EN_PERCENT,
            suggestion={"field": "ac.en_percent", "value": other, "typed_as": "EP %"},
            logged=share,
            other=other,
            logged_text=in_units(share, "%"),
            other_text=in_units(other, "%"),
        )


def _arc_energy(case: Case, questioned: set[str]) -> Iterator[Finding]:
    facts, found = case.facts, case.figures
    energies = [("", found.arc_energy_kj_mm)] if not found.runs else []
    energies += [(f"run_list[{n}].", run.arc_energy_kj_mm) for n, run in enumerate(found.runs)]
    for at, energy in energies:
        fields = tuple(at + name for name in MEMBERS_OF_ENERGY)
        if energy is None or questioned & set(fields):
            continue
        finding = _unusual(facts, "arc_energy_kj_mm", energy, fields)
        if finding:
            yield finding
