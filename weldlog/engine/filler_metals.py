"""The filler metals of the tables, and how a typed designation names one."""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal, get_args

from weldlog.engine.dilution import Composition
from weldlog.engine.table_columns import Limit, limits_of, nominal_of, number, sources_of
from weldlog.engine.tables import rows

Grade = Literal["good", "fair", "poor", "do_not_use", "not_applicable", "unknown"]
GRADES: tuple[Grade, ...] = get_args(Grade)

#: Shear across a fillet over shear along it, where only the latter is known: 1.5 is that of
#: 5356, 5556 and 5654 in the same table.
SHEAR_ACROSS_OVER_ALONG: Final = 1.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FillerMetal:
    """One filler. Strengths in MPa, temperatures in degrees C, elongation in percent.

    ``charted_as`` and ``shear_as`` name the filler whose place in the charts, or whose shear
    strength, stands for this one where none of its own is known. ``sources`` names the keys of
    the sources for each group of values.
    """

    designation: str
    iso_name: str
    aws_classes: tuple[str, ...]
    limits: dict[str, Limit]
    other_limits: str
    nominal: Composition
    solidus_c: float | None
    liquidus_c: float | None
    density_g_cm3: float
    anodised_color: str
    heat_treated_after: Grade
    shear_along_mpa: float | None
    shear_across_mpa: float | None
    weld_uts_mpa: float | None
    weld_yield_mpa: float | None
    weld_elongation_percent: float | None
    charted_as: str
    shear_as: str
    use: str
    against: str
    sources: dict[str, tuple[str, ...]]
    doubt: str

    @property
    def family(self) -> str:
        """``1xxx`` pure, ``2xxx`` copper, ``4xxx`` silicon or ``5xxx`` magnesium."""
        return f"{self.designation[0]}xxx"

    @property
    def rod_only(self) -> bool:
        """Whether it is made and tested as a rod only, never as wire."""
        return bool(self.aws_classes) and not any(c.startswith("ER") for c in self.aws_classes)


def _filler(row: dict[str, str]) -> FillerMetal:
    after = next((grade for grade in GRADES if grade == row["heat_treated_after"]), None)
    if after is None or not row["use"] or not row["against"]:
        raise ValueError(f"fillers.tsv: {row['filler']}: a grade or a sentence is missing.")
    return FillerMetal(
        designation=row["filler"],
        iso_name=row["iso_name"],
        aws_classes=tuple(row["aws_classes"].split("; ")) if row["aws_classes"] else (),
        limits=limits_of(row),
        other_limits=row["other_limits"],
        nominal=nominal_of(row),
        solidus_c=number(row["solidus_c"]),
        liquidus_c=number(row["liquidus_c"]),
        density_g_cm3=float(row["density_g_cm3"]),
        anodised_color=row["anodised_color"],
        heat_treated_after=after,
        shear_along_mpa=number(row["shear_along_mpa"]),
        shear_across_mpa=number(row["shear_across_mpa"]),
        weld_uts_mpa=number(row["weld_uts_mpa"]),
        weld_yield_mpa=number(row["weld_yield_mpa"]),
        weld_elongation_percent=number(row["weld_elongation_percent"]),
        charted_as=row["charted_as"],
        shear_as=row["shear_as"],
        use=row["use"],
        against=row["against"],
        sources=sources_of(row),
        doubt=row["doubt"],
    )


FILLERS: Final[dict[str, FillerMetal]] = {
    row["filler"]: _filler(row) for row in rows("fillers.tsv")
}

_TYPED = re.compile(r"(?P<prefix>ER|R|S\s*AL)?[\s-]*(?P<number>\d{4}A?)(?:\s*[\[(].*)?")


@lru_cache(maxsize=1024)
def find(designation: str) -> FillerMetal | None:
    """Return the filler of a designation as people type it, or None where it is not in the tables.

    Case, spaces, an ER or R prefix and the ISO 18273 form ``S Al 4043`` do not matter.

    >>> find("er5356").designation, find("S Al 4043 (AlSi5)").designation
    ('5356', '4043')
    """
    typed = _TYPED.fullmatch(designation.strip().upper())
    return FILLERS.get(typed["number"]) if typed else None


@lru_cache(maxsize=1024)
def is_rod(designation: str) -> bool:
    """Whether what was typed is a rod that was never tested as wire.

    An R class says so, and so does a filler that exists in R classes only. ER wire also counts
    as a rod. Source: alloy-S24, clause 3.2.

    >>> is_rod("R4043"), is_rod("ER4043"), is_rod("4011")
    (True, False, True)
    """
    typed = _TYPED.fullmatch(designation.strip().upper())
    metal = find(designation)
    return bool(typed and typed["prefix"] == "R") or bool(metal and metal.rod_only)


def shear_across_mpa(metal: FillerMetal) -> float | None:
    """Return the least shear strength across a fillet of this filler [MPa], or of its stand-in."""
    known = FILLERS[metal.shear_as]
    if known.shear_across_mpa is None and known.shear_along_mpa is not None:
        return known.shear_along_mpa * SHEAR_ACROSS_OVER_ALONG
    return known.shear_across_mpa
