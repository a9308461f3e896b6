"""The entry family: is what was typed plausible, and would a slip of the unit explain it?

Nothing is corrected and nothing is refused here. A number outside the soft band of
``tables/plausibility.tsv`` is a warning, outside the hard band a stop. Where the same digits in
another unit (``tables/slips.tsv``) would land inside the soft band, the finding suggests them.
"""

from collections.abc import Iterable, Iterator, Set
from typing import Final

from weldlog.engine import cross_check
from weldlog.engine.current_check import current_for
from weldlog.engine.facts import Facts
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.plausibility import USUAL, Band, band
from weldlog.engine.possible import DOMAINS, Number
from weldlog.engine.runs import LoggedRun
from weldlog.engine.slips import Meant, explain, question
from weldlog.engine.speed_check import around, could_be, timed_runs
from weldlog.engine.units import from_base
from weldlog.engine.written import in_units, span

LOWEST_EN_PERCENT: Final = 45.0
HOTTEST_BELIEVED_C: Final = 205.0
"""Preheat that a person may have meant, right or wrong [degrees C]: 400 °F, which old handbooks
allowed; common practice, no source."""
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


def _band_rule(name: str, noun: str, source: str, *members: str) -> Rule:
    return Rule(
        id=f"entry-{name}",
        severity="warn",
        says=f"Check the entry: {noun} of {{logged_text}} is unusual for {{process}}. About "
        "{usual_text} is usual. {question}",
        source=source,
        fields=members,
    )


_LEGS: Final = ("fillet.nominal_leg_mm", "fillet.leg_1_mm", "fillet.leg_2_mm")
_BEFORE_A_RUN: Final = frozenset({"preheat_c", "interpass_c"})
_TEMPERATURES: Final = ("preheat_c", "interpass_c", "air_c", "metal_c")
_BAND_RULES: Final = (
    _band_rule("current", "a current", "heat-S24", "current_a"),
    _band_rule("voltage", "a voltage", "heat-S26", "voltage_v"),
    _band_rule("mean-power", "a mean power", "practice", "mean_power_kw"),
    _band_rule("energy-shown", "a reading of energy", "practice", "arc_energy_kj"),
    _band_rule("travel-speed", "a travel speed", "heat-S19", "travel_speed_mm_s"),
    _band_rule("wire-feed", "a wire feed speed", "heat-S25", "wire_feed_mm_s"),
    _band_rule("gas-flow", "a gas flow", "heat-S24", "gas_flow_l_min"),
    _band_rule("ac-frequency", "an AC frequency", "heat-S35", "ac.frequency_hz"),
    _band_rule("filler-diameter", "a filler diameter", "heat-S24", "filler.diameter_mm"),
    _band_rule("tungsten-diameter", "a tungsten diameter", "heat-S31", "tungsten.diameter_mm"),
    _band_rule("thickness", "a thickness", "practice", "base_metals.thickness_mm"),
    _band_rule("leg", "a leg", "practice", *_LEGS),
    _band_rule("temperature", "{noun}", "practice", *_TEMPERATURES),
    _band_rule("arc-energy", "an arc energy", "heat-S25", "arc_energy_kj_mm"),
)
_BY_MEMBER: Final = {member: rule for rule in _BAND_RULES for member in rule.fields}
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
EN_FRACTION = Rule(
    id="entry-en-fraction",
    severity="warn",
    says="Check the entry: {logged_text} electrode negative is next to nothing. The share is "
    "logged in percent: did you mean {other_text}?",
    source="practice",
    fields=("ac.en_percent",),
)
RULES: Final = (NOT_POSSIBLE, *_BAND_RULES, EN_OR_EP, EN_FRACTION, *cross_check.RULES)


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
    meant: Meant | None = None,
) -> Iterator[Finding]:
    """Question one value where it lies outside the band of a member."""
    usual = band(facts.process, member)
    broken = usual.outside(value) if usual else None
    if usual is None or broken is None:
        return
    severity, limit = broken
    if severity == "advise" and meant is None:
        return
    logged, edge = from_base(value, usual.unit), from_base(limit, usual.unit)
    low, high = (from_base(end, usual.unit) for end in _usual_ends(facts, member, usual))
    nothing = ", no gas at all," if member == "gas_flow_l_min" and not value else ""
    yield _BY_MEMBER[member].found(
        severity=severity,
        fields=fields,
        measured=value,
        limit=limit,
        suggestion=meant.suggestion if meant else None,
        logged=logged,
        low=low,
        high=high,
        unit=usual.unit,
        process=facts.process,
        noun=DOMAINS[member].noun if member in DOMAINS else "",
        logged_text=in_units(logged, usual.unit, unlike=edge) + nothing,
        usual_text=span(low, high, usual.unit),
        question=question(meant, usual.unit if meant and meant.member == member else None),
    )


def _usual_ends(facts: Facts, member: str, usual: Band) -> tuple[float, float]:
    """Return the ends of what is usual; of a current those that suit the thickness."""
    suiting = current_for(facts) if member == "current_a" else None
    if suiting is None:
        return usual.soft
    return float(round(suiting.soft[0])), float(round(suiting.soft[1]))


def _unusual_numbers(facts: Facts) -> Iterator[Finding]:
    usual = USUAL[facts.process]
    if usual.hold(facts):
        return
    swapped = [*cross_check.swapped(facts)]
    yield from swapped
    told = {field for finding in swapped for field in finding.fields}
    for each in usual.broken(facts):
        known = band(facts.process, each.member)
        if known and each.path not in told and not _is_explained(facts, each, known):
            meant = _meant(facts, each, known)
            yield from _unusual(facts, each.member, each.value, (each.field,), meant)


def _is_explained(facts: Facts, number: Number, usual: Band) -> bool:
    """Return whether helium or an assumption explains a number that no machine would refuse.

    The usual volts and flows are those of argon; volts that nobody read follow from a formula.
    """
    in_helium = facts.shielding_gas in ("helium", "argon_helium") and number.member in _OF_ARGON
    assumed = number.member == "voltage_v" and number.of.voltage_read == "assumed"
    low, high = usual.hard
    return (in_helium or assumed) and low <= number.value <= high


def _meant(facts: Facts, number: Number, usual: Band) -> Meant | None:
    """Return the slip that explains a number; of a speed one that length and time agree with."""
    likely = [
        around(timed.speed_mm_s)
        for timed in timed_runs(facts)
        if timed.at + "travel_speed_mm_s" == number.path
    ]
    bands = [*likely, usual]
    if number.member in _BEFORE_A_RUN:
        bands.append(Band((usual.soft[0], HOTTEST_BELIEVED_C), usual.hard, usual.unit))
    found = (explain(each, number.path, number.member, number.value) for each in bands)
    return next((meant for meant in found if meant), None)


def _unusual_derived_speeds(facts: Facts) -> Iterator[Finding]:
    """Question a speed that follows from length and time, and look for the slip in those."""
    usual = band(facts.process, "travel_speed_mm_s")
    for timed in timed_runs(facts):
        speed = timed.speed_mm_s
        if usual and timed.run.travel_speed_mm_s is None and not usual.is_usual(speed):
            fields = timed.length_field, timed.time_field
            yield from _unusual(facts, "travel_speed_mm_s", speed, fields, timed.explain(usual))


def _en_or_ep(facts: Facts) -> Iterator[Finding]:
    """Question a low electrode-negative share; the set-up rules judge the others."""
    share = facts.ac.en_percent if facts.ac else None
    if share is not None and share < LOWEST_EN_PERCENT:
        fraction = 0 < share < 1
        rule, other = (EN_FRACTION, 100 * share) if fraction else (EN_OR_EP, 100 - share)
        typed_as = "fraction" if fraction else "EP %"
        yield rule.found(
            measured=share,
            limit=LOWEST_EN_PERCENT,
            suggestion={"field": "ac.en_percent", "value": other, "typed_as": typed_as},
            logged=share,
            other=other,
            logged_text=in_units(share, "%"),
            other_text=in_units(other, "%"),
        )


def _arc_energy(case: Case, questioned: Set[str]) -> Iterator[Finding]:
    """Question an arc energy that is unusual although nothing that it follows from was."""
    facts, figures = case.facts, case.figures
    usual = band(facts.process, "arc_energy_kj_mm")
    energies = [figures.arc_energy_kj_mm] if not figures.runs else []
    energies += [run.arc_energy_kj_mm for run in figures.runs]
    for place, energy in enumerate(energies):
        if usual is None or energy is None or usual.is_usual(energy):
            continue
        at = f"run_list[{place}]." if figures.runs else ""
        fields = tuple(at + name for name in MEMBERS_OF_ENERGY)
        if questioned.isdisjoint(fields):
            run = facts.run_list[place] if figures.runs and facts.run_list else facts
            meant = _slip_of_energy(usual, at, run, energy)
            yield from _unusual(facts, "arc_energy_kj_mm", energy, fields, meant)


def _slip_of_energy(usual: Band, at: str, run: LoggedRun, energy_kj_mm: float) -> Meant | None:
    """Return the slip of a reading of energy that explains an arc energy."""
    reading = run.arc_energy_kj
    if reading is None or run.weld_length_mm is None:
        return None
    shown = at + "arc_energy_kj", "arc_energy_kj"
    length = at + "weld_length_mm", "weld_length_mm"
    of_energy = explain(usual, *shown, energy_kj_mm, of=reading)
    of_length = explain(usual, *length, energy_kj_mm, power=-1, of=run.weld_length_mm)
    return of_energy or (of_length if of_length and could_be(of_length) else None)
