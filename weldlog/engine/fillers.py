"""The filler of a coupon: what the weld metal becomes with it, and when a filler rule speaks."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final

from weldlog.engine import filler_rules as rule
from weldlog.engine import filler_service, no_filler
from weldlog.engine.alloys import Alloy, both_sides, known_sides
from weldlog.engine.dilution import largest_clear_share
from weldlog.engine.facts import NO_FILLER, Facts, Filler, Service
from weldlog.engine.figures import WeldMetal
from weldlog.engine.filler_grades import BRITTLE_MG, CASTING_SI, SILICON_FILLER_MG
from weldlog.engine.filler_metals import FillerMetal, find, is_rod
from weldlog.engine.filler_pairs import pair_of
from weldlog.engine.findings import Case, Finding, NotAssessed
from weldlog.engine.weld_metal import weld_metal
from weldlog.engine.written import in_units

__all__ = ["RULES", "check", "find", "weld_metal"]

RULES: Final = (*no_filler.RULES, *rule.RULES)

#: A weld of a lean Al-Mg base is clear of cracking from this on [percent].
CLEAR_SI: Final = 2.0
CLEAR_MG: Final = 3.0
#: Between this and ``CLEAR_MG`` it is on the edge [percent].
EDGE_MG: Final = 2.6
COPPER_ALLOY_CU: Final = 3.0
_NOT_ASKED: Final = Service()
_SAY_THINNED: Final = (rule.WELD_MAGNESIUM_LOW.id, rule.MAGNESIUM_ON_PURE.id)
STRONG_ON_PLATE: Final = ("5183", "5556", "5087")


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Yield what the filler, or its absence, calls for."""
    facts = case.facts
    both = both_sides(facts)
    if both:
        yield from _pair(*both)
    if isinstance(facts.filler, Filler):
        yield from _with_filler(case, facts.filler.designation)
    elif facts.filler is NO_FILLER:
        yield from no_filler.check(case)
    else:
        yield NotAssessed("choice of filler", ("filler",))
    convexity = facts.fillet.convexity_mm if facts.fillet else None
    if convexity is not None and convexity < 0:
        hollow = in_units(-convexity, "mm")
        yield rule.CONCAVE_BEAD.found(
            measured=convexity, limit=0.0, hollow=-convexity, hollow_text=hollow
        )


def _named(sides: tuple[Alloy, Alloy]) -> str:
    return " and ".join(dict.fromkeys(side.designation for side in sides))


@cache
def _pair(side_a: Alloy, side_b: Alloy) -> tuple[Finding, ...]:
    both = (side_a, side_b)
    pair = pair_of(*both)
    closed = any(side.weldability == "not_recommended" for side in both)
    if closed or pair.standing != "not_recommended":
        return ()
    found = rule.PAIR_NOT_RECOMMENDED.found(
        measured=_named(both), alloys=_named(both), why=pair.why
    )
    return (found,)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weld:
    """What the rules of a coupon welded with filler look at, and nothing else of it."""

    metal: FillerMetal
    sides: tuple[Alloy, ...]
    mixture: WeldMetal | None
    weld: str | None
    service: Service
    thickness_mm: float | None

    @property
    def name(self) -> str:
        return self.metal.designation

    @property
    def both(self) -> tuple[Alloy, Alloy] | None:
        return (self.sides[0], self.sides[1]) if len(self.sides) == 2 else None


def _with_filler(case: Case, designation: str) -> Iterator[Finding | NotAssessed]:
    facts, metal, sides = case.facts, find(designation), known_sides(case.facts)
    if facts.process == "GMAW" and is_rod(designation):
        yield rule.ROD_AS_WIRE.found(measured=designation, filler=designation)
    if metal is None:
        yield no_filler.base_metal_as_filler(designation) or NotAssessed(
            "choice of filler: it is not in the tables, so read the spool or the certificate",
            ("filler.designation",),
        )
    elif not sides:
        yield NotAssessed("choice of filler", ("base_metals.alloy",))
    else:
        weld = _Weld(
            metal=metal,
            sides=sides,
            mixture=case.figures.weld_metal,
            weld=facts.weld,
            service=facts.service or _NOT_ASKED,
            thickness_mm=_thicker_side_mm(facts),
        )
        yield from _judged(weld)


def _thicker_side_mm(facts: Facts) -> float | None:
    thicknesses = [side.thickness_mm for side in facts.sides or () if side.thickness_mm]
    return max(thicknesses, default=None)


@lru_cache(maxsize=8192)  # a class welds the same few joints over and over
def _judged(weld: _Weld) -> tuple[Finding | NotAssessed, ...]:
    return tuple(_judge(weld))


def _judge(weld: _Weld) -> Iterator[Finding | NotAssessed]:
    """Yield the rules in order; a pair is only spoken of where nothing plainer was said."""
    chemistry = [found for each in _ON_SIDES for found in each(weld)]
    wrong_family = any(found.severity != "advise" for found in chemistry)
    mixture = [] if any(found.severity == "stop" for found in chemistry) else list(_mixture(weld))
    # Where the filler itself is in doubt, a hint to add more of it would contradict that.
    chemistry += [each for each in mixture if not (wrong_family and each.severity == "advise")]
    yield from chemistry
    if weld.both is None:
        yield NotAssessed("choice of filler for both sides", ("base_metals.alloy",))
        return
    yield from filler_service.check(weld.metal, weld.both, weld.service, weld.thickness_mm)
    if weld.mixture is None:
        yield NotAssessed("weld metal and its crack range", ("weld",))
    if not any(found.severity in ("stop", "warn") for found in chemistry):
        yield from _advised_against(weld, weld.both)
    yield from _hints(weld, weld.both)
    said = {each.rule.id for each in chemistry}
    if weld.name == "5554" and said.isdisjoint(_SAY_THINNED):
        yield from _thinned(weld)


def _silicon(weld: _Weld) -> Iterator[Finding]:
    side = max(weld.sides, key=lambda each: each.nominal.mg)
    magnesium = side.nominal.mg
    if weld.metal.family != "4xxx" or magnesium < SILICON_FILLER_MG:
        return
    over = magnesium > BRITTLE_MG
    speaks = rule.SILICON_ON_MAGNESIUM if over else rule.SILICON_NEAR_MAGNESIUM_LIMIT
    yield speaks.found(
        measured=magnesium,
        limit=BRITTLE_MG if over else SILICON_FILLER_MG,
        filler=weld.name,
        alloy=side.designation,
        magnesium=magnesium,
    )


def _magnesium(weld: _Weld) -> Iterator[Finding]:
    side = max(weld.sides, key=lambda each: each.nominal.si)
    silicon = side.nominal.si
    if weld.metal.family == "5xxx" and silicon > CASTING_SI:
        yield rule.MAGNESIUM_ON_SILICON.found(
            measured=silicon,
            limit=CASTING_SI,
            filler=weld.name,
            alloy=side.designation,
            silicon=silicon,
        )


def _lean(side: Alloy) -> bool:
    return side.series == "1xxx" or side.designation == "3003"


def _pure(weld: _Weld) -> Iterator[Finding]:
    alloyed = [side.designation for side in weld.sides if not _lean(side)]
    if weld.metal.family == "1xxx" and alloyed:
        yield rule.PURE_ON_ALLOYED.found(measured=weld.name, filler=weld.name, alloy=alloyed[0])


def _zinc_magnesium(weld: _Weld) -> Iterator[Finding]:
    zinc = [side.designation for side in weld.sides if side.zinc_magnesium]
    if weld.metal.family == "4xxx" and zinc:
        yield rule.ZINC_MAGNESIUM.found(measured=weld.name, filler=weld.name, alloy=zinc[0])


def _copper(weld: _Weld) -> Iterator[Finding]:
    copper = any(side.nominal.cu >= COPPER_ALLOY_CU for side in weld.sides)
    if weld.metal.family == "2xxx" and not copper:
        yield rule.COPPER_ON_COPPER_FREE.found(measured=weld.name, filler=weld.name)


_ON_SIDES: Final[tuple[Callable[[_Weld], Iterator[Finding]], ...]] = (
    _silicon,
    _magnesium,
    _pure,
    _zinc_magnesium,
    _copper,
)


def _mixture(weld: _Weld) -> Iterator[Finding]:
    """Yield the one rule that fits the estimated weld metal best."""
    mixture = weld.mixture
    closed = any(side.weldability == "not_recommended" for side in weld.sides)
    if mixture is None or closed:
        return
    short = mixture.si < CLEAR_SI and mixture.mg < CLEAR_MG
    low = [side for side in weld.sides if side.cracks_for_want_of_magnesium]
    lean = [side for side in weld.sides if _lean(side)]
    if short and low:
        yield _weld_magnesium_low(weld, mixture, low[0])
    elif short and lean and weld.metal.family == "5xxx":
        yield rule.MAGNESIUM_ON_PURE.found(
            measured=mixture.mg,
            limit=CLEAR_MG,
            filler=weld.name,
            alloy=lean[0].designation,
            magnesium=mixture.mg,
        )
    elif mixture.hot_crack_range != "outside":
        yield _crack_range(weld, mixture)


def _weld_magnesium_low(weld: _Weld, mixture: WeldMetal, side: Alloy) -> Finding:
    # 5554 is the right wire for warm service on 5052, so a thinned one is never a stop.
    matched = weld.name == "5554" and all(each.nominal.mg >= 2.5 for each in weld.sides)
    edge = matched or mixture.mg >= EDGE_MG
    return rule.WELD_MAGNESIUM_LOW.found(
        severity="warn" if edge else "stop",
        measured=mixture.mg,
        limit=CLEAR_MG if edge else EDGE_MG,
        alloy=side.designation,
        magnesium=mixture.mg,
        silicon=mixture.si,
    )


def _crack_range(weld: _Weld, mixture: WeldMetal) -> Finding:
    inside = mixture.hot_crack_range == "inside"
    limit = None
    if weld.both:
        side_a, side_b = weld.both
        limit = largest_clear_share(side_a.nominal, side_b.nominal, weld.metal.nominal)
    speaks = rule.CRACK_RANGE if inside else rule.CRACK_RANGE_NEAR
    return speaks.found(measured=mixture.dilution, limit=limit, base_percent=100 * mixture.dilution)


def _advised_against(weld: _Weld, both: tuple[Alloy, Alloy]) -> Iterator[Finding]:
    pair = pair_of(*both)
    if pair.standing != "not_recommended" and weld.name in pair.never:
        yield rule.PAIR_NEVER.found(
            measured=weld.name, filler=weld.name, alloys=_named(both), why=weld.metal.against
        )


def _hints(weld: _Weld, both: tuple[Alloy, Alloy]) -> Iterator[Finding]:
    alloy = both[0].designation
    silicon_wire = weld.metal.charted_as == "4043"
    if silicon_wire and weld.weld == "fillet" and all(s.series == "6xxx" for s in both):
        yield rule.FILLET_SHEAR.found(measured=weld.name, filler=weld.name, alloy=alloy)
    plate = all(side.designation in ("5083", "5456") for side in both)
    if plate and weld.metal.family == "5xxx" and weld.name not in STRONG_ON_PLATE:
        yield rule.PLATE_STRENGTH.found(measured=weld.name, filler=weld.name, alloy=alloy)


def _thinned(weld: _Weld) -> Iterator[Finding]:
    mixture = weld.mixture
    if mixture and mixture.mg < EDGE_MG:
        yield rule.THINNED_5554.found(measured=mixture.mg, limit=EDGE_MG, magnesium=mixture.mg)
