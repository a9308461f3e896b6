"""The aluminium alloys of the tables, and the rules that speak of the base metal alone."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal, get_args

from weldlog.engine import repair, unlisted
from weldlog.engine.dilution import Composition
from weldlog.engine.facts import Facts
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.sources import Sourced
from weldlog.engine.table_columns import (
    ELEMENTS,
    Limit,
    limits_of,
    nominal_of,
    number,
    sources_of,
)
from weldlog.engine.tables import rows

Weldability = Literal["readily", "with_care", "not_recommended"]
WELDABILITIES: tuple[Weldability, ...] = get_args(Weldability)

#: A filler or a base with more magnesium than this is not for long service above 65 degrees C.
WARM_SERVICE_MG: Final = 3.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Alloy:
    """One base alloy. Strengths in MPa, temperatures in degrees C, density in g/cm3.

    ``nominal`` takes the residual silicon of an alloy that has none added; ``nominal_percent``
    says so by its source, and lists chromium and titanium too. ``sources`` names, for each group
    of values, the keys of its sources; a value from memory has a ``memory-`` key.
    """

    designation: str
    form: str
    series: str
    main_elements: str
    heat_treatable: bool
    limits: dict[str, Limit]
    other_limits: str
    nominal: Composition
    nominal_percent: dict[str, Sourced[float]]
    solidus_c: float
    liquidus_c: float
    conductivity_w_mk: float
    conductivity_temper: str
    density_g_cm3: float
    temper: str
    typical_uts_mpa: float
    typical_yield_mpa: float
    welded_uts_mpa: float | None
    haz_proof_mpa: float | None
    haz_uts_mpa: float | None
    haz_temper: str
    weldability: Weldability
    why: str
    charted_as: str
    sources: dict[str, tuple[str, ...]]
    doubt: str

    @property
    def zinc_magnesium(self) -> bool:
        """Whether it is a Zn-Mg alloy without copper, which welds with Al-Mg filler."""
        return self.nominal.zn >= 1.0 and self.nominal.cu < 0.3

    @property
    def cracks_for_want_of_magnesium(self) -> bool:
        """Whether it is 3004, 5005, 5050 or 5052: some magnesium, but short of the safe side."""
        return self.series in ("3xxx", "5xxx") and 0.5 <= self.nominal.mg < 2.6


def nominal_percent_of(row: dict[str, str]) -> dict[str, Sourced[float]]:
    """Return the nominal content of each element [percent by mass], with its source.

    Silicon that is not added but left over is an assumption of ours, and common practice.
    """
    found = {
        each: Sourced(float(text), row["nominal_source"])
        for each in ELEMENTS
        if (text := row.get(f"nominal_{each}"))
    }
    if row["silicon_is"] == "residual":
        found["si"] = Sourced(found["si"].value, "practice")
    return found


def _alloy(row: dict[str, str]) -> Alloy:
    if row["weldability"] not in WELDABILITIES or row["heat_treatable"] not in ("yes", "no"):
        raise ValueError(f"alloys.tsv: {row['alloy']}: weldability or heat_treatable is unknown.")
    return Alloy(
        designation=row["alloy"],
        form=row["form"],
        series=row["series"],
        main_elements=row["main_elements"],
        heat_treatable=row["heat_treatable"] == "yes",
        limits=limits_of(row),
        other_limits=row["other_limits"],
        nominal=nominal_of(row),
        nominal_percent=nominal_percent_of(row),
        solidus_c=float(row["solidus_c"]),
        liquidus_c=float(row["liquidus_c"]),
        conductivity_w_mk=float(row["conductivity_w_mk"]),
        conductivity_temper=row["conductivity_condition"],
        density_g_cm3=float(row["density_g_cm3"]),
        temper=row["usual_temper"],
        typical_uts_mpa=float(row["typical_uts_mpa"]),
        typical_yield_mpa=float(row["typical_yield_mpa"]),
        welded_uts_mpa=number(row["welded_uts_mpa"]),
        haz_proof_mpa=number(row["haz_proof_mpa"]),
        haz_uts_mpa=number(row["haz_uts_mpa"]),
        haz_temper=row["haz_temper"],
        weldability=row["weldability"],
        why=row["why"],
        charted_as=row["charted_as"],
        sources=sources_of(row),
        doubt=row["doubt"],
    )


ALLOYS: Final[dict[str, Alloy]] = {row["alloy"]: _alloy(row) for row in rows("alloys.tsv")}

_TYPED = re.compile(
    r"(?:EN\s*)?(?:A[AWCL])?[\s-]*"  # EN AW-, AA, AW, Al
    r"(?P<name>[A-Z]?\d{3,4}A?(?:\.0)?)"
    r"(?:[\s-]*[OFHTW]\d*[A-Z]?)?"  # temper: O, F, H32, T6
    r"(?:\s*[\[(].*)?"  # chemical name in brackets
)


@lru_cache(maxsize=1024)
def find(designation: str) -> Alloy | None:
    """Return the alloy of a designation as people type it, or None where it is not in the tables.

    Case, spaces, an EN AW or AA prefix, a temper behind it and a missing ``.0`` do not matter.

    >>> find("en aw-6082 T6").designation, find("A356-T6").designation
    ('6082', 'A356.0')
    >>> find("6060") is None
    True
    """
    typed = _TYPED.fullmatch(designation.strip().upper())
    if typed is None:
        return None
    name = typed["name"]
    return ALLOYS.get(name) or ALLOYS.get(f"{name}.0")


def known_sides(facts: Facts) -> tuple[Alloy, ...]:
    """Return the alloys of the sides of a coupon, leaving out a side that is not known."""
    return _known(tuple([side.alloy for side in facts.base_metals or ()]))


@lru_cache(maxsize=4096)
def _known(typed: tuple[str | None, ...]) -> tuple[Alloy, ...]:
    both = (typed[0], typed[-1]) if typed else ()
    return tuple(alloy for each in both if each and (alloy := find(each)))


def both_sides(facts: Facts) -> tuple[Alloy, Alloy] | None:
    """Return the alloys of both sides of a coupon, or None where one is not known."""
    sides = known_sides(facts)
    return (sides[0], sides[1]) if len(sides) == 2 else None


NOT_FOR_ARC_WELDING: Final = Rule(
    id="alloy-not-for-arc-welding",
    severity="stop",
    says=(
        "{alloy} is not for arc welding, whatever the filler. {why} "
        "Ask your instructor for another alloy, or how this part is joined instead."
    ),
    source="alloy-S21b",
    fields=("base_metals",),
)
WARM_SERVICE: Final = Rule(
    id="alloy-warm-service",
    severity="stop",
    says=(
        "{alloy} holds {magnesium:.1f} % magnesium, and above 3 % it is not for long service above "
        "65 °C: stress corrosion sets in along its grains. 5454 is made for warm parts."
    ),
    source="alloy-S12",
    fields=("base_metals", "service.above_65_c"),
)

NOT_ALUMINUM: Final = Rule(
    id="alloy-not-aluminum",
    severity="stop",
    says=unlisted.NOT_FUSED + " Ask your instructor how such parts are joined instead.",
    source="practice",
    fields=("base_metals.alloy",),
)

RULES: Final = (NOT_FOR_ARC_WELDING, NOT_ALUMINUM, WARM_SERVICE, *repair.RULES)
_NOT_LOGGED: Final = NotAssessed("weldability of the base metal", ("base_metals",))
_NOT_KNOWN: Final = NotAssessed(
    "weldability of the base metal: its alloy is not known, so read the stamp or the "
    "certificate; looks do not tell",
    ("base_metals.alloy",),
)


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Yield what the base metals alone call for, and what a used part asks for."""
    facts = case.facts
    sides = facts.base_metals or ()
    typed = tuple([side.alloy for side in sides])
    if typed:
        yield from _of_metals(typed, warm=bool(facts.service and facts.service.above_65_c))
    else:
        yield _NOT_LOGGED
    if facts.work == "repair":
        yield from repair.check(facts, _used(typed))


@lru_cache(maxsize=1024)
def _used(typed: tuple[str | None, ...]) -> repair.UsedMetal:
    """Return what a repair wants to know of the metals of a part."""
    known = {each: find(each) if each else None for each in typed}
    unknown = [each for each, alloy in known.items() if alloy is None]
    names = [name for each in unknown if (name := unlisted.designation(each))]
    return repair.UsedMetal(
        unnamed=len(names) < len(unknown) or not typed,
        unlisted=names[0] if names else None,
        cast=any(alloy.form == "cast" for alloy in known.values() if alloy),
        die_cast=next((each for each in typed if unlisted.die_cast(each)), None),
    )


@lru_cache(maxsize=4096)  # a class welds the same few metals over and over
def _of_metals(typed: tuple[str | None, ...], *, warm: bool) -> tuple[Finding | NotAssessed, ...]:
    said: list[Finding | NotAssessed] = []
    unknown = dict.fromkeys(each for each in typed if each is None or find(each) is None)
    said += dict.fromkeys(_not_known(each) for each in unknown if not _other(each))
    others = dict.fromkeys(other for each in unknown if (other := _other(each)))
    said += [NOT_ALUMINUM.found(measured=each, metal=each.capitalize()) for each in others]
    for alloy in dict.fromkeys(found for each in typed if each and (found := find(each))):
        if alloy.weldability == "not_recommended":
            name = alloy.designation
            said.append(NOT_FOR_ARC_WELDING.found(measured=name, alloy=name, why=alloy.why))
        if warm:
            said += warm_service(alloy)
    return tuple(said)


def _other(typed: str | None) -> str | None:
    return unlisted.other_metal(typed) if typed else None


def _not_known(typed: str | None) -> NotAssessed:
    """Say what is missing: the name of the alloy, or its place in the tables."""
    name = unlisted.designation(typed)
    if name is None:
        return _NOT_KNOWN
    what = f"weldability of the base metal: {unlisted.not_listed(name).removesuffix('.')}"
    return NotAssessed(what, ("base_metals.alloy",))


def warm_service(alloy: Alloy) -> Iterator[Finding]:
    """Yield the stop for a base metal that is not for long service above 65 degrees C."""
    magnesium = alloy.nominal.mg
    if magnesium > WARM_SERVICE_MG:
        yield WARM_SERVICE.found(
            measured=magnesium,
            limit=WARM_SERVICE_MG,
            alloy=alloy.designation,
            magnesium=magnesium,
        )
