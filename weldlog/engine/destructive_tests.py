"""Guide data on bend, break and macro tests; nothing here judges a coupon.

Mandrels are those of an extract of AWS D1.2 (prep-S15). Its T are shop sizes: 3.2 mm stands for
1/8 in, 9.5 mm for 3/8 in. The code itself decides; editions differ.
"""

from dataclasses import dataclass
from typing import Final

from weldlog.engine.sources import source
from weldlog.engine.tables import rows

INCH_MM: Final = 25.4
# How far a metric size may lie from the shop size that it stands for [mm].
_NAMED_WITHIN_MM: Final = 0.05


@dataclass(frozen=True, slots=True)
class Mandrel:
    """One row of the mandrel table.

    Parameters
    ----------
    alloys : tuple of str
        Base metals, empty where the filler decides.
    temper, filler : str
        Temper and filler series that the row is for; empty for any.
    multiple : float
        Diameter of the mandrel over the thickness of the specimen.
    printed_mm, printed_for_mm : float or None
        The diameter that the source prints, and for which thickness [mm].
    machined_mm : float or None
        Thickness that the specimen is machined to first [mm].
    """

    key: str
    alloys: tuple[str, ...]
    temper: str
    filler: str
    multiple: float
    printed_mm: float | None
    printed_for_mm: float | None
    machined_mm: float | None
    says: str
    source: str


def _number(text: str) -> float | None:
    return float(text) if text else None


def _mandrel(row: dict[str, str]) -> Mandrel:
    return Mandrel(
        key=row["key"],
        alloys=tuple(row["alloys"].split()),
        temper=row["temper"],
        filler=row["filler"],
        multiple=float(row["multiple"]),
        printed_mm=_number(row["printed_mm"]),
        printed_for_mm=_number(row["printed_for_mm"]),
        machined_mm=_number(row["machined_mm"]),
        says=row["says"],
        source=source(row["source"]).key,
    )


MANDRELS: Final = tuple(_mandrel(row) for row in rows("bend_mandrels.tsv"))


def mandrel(alloy: str, *, temper: str = "", filler: str = "") -> Mandrel | None:
    """Return the row for a weld, or None where the source names no mandrel.

    Parameters
    ----------
    alloy, temper, filler : str
        Designations such as ``6061``, ``T6`` and ``4043``. A 4xxx filler decides by itself; a
        row for the annealed temper comes before the one for any.

    >>> mandrel("6061", filler="4043").multiple, mandrel("7075")
    (16.5, None)
    """
    silicon = filler.removeprefix("E").removeprefix("R").startswith("4")
    for each in MANDRELS:
        if each.filler and silicon:
            return each
        if alloy in each.alloys and each.temper in ("", temper):
            return each
    return None


def mandrel_diameter_mm(row: Mandrel, thickness_mm: float) -> float:
    """Return the diameter of the mandrel for a specimen, its multiple of the thickness [mm].

    A metric name of a shop size counts as that size.

    >>> round(mandrel_diameter_mm(mandrel("6061", filler="4043"), 3.2), 1)
    52.4
    >>> round(mandrel_diameter_mm(mandrel("5083", filler="5183"), 9.5), 1)
    63.5
    """
    return row.multiple * _shop_size(thickness_mm)


def _shop_size(thickness_mm: float) -> float:
    sixteenths = round(thickness_mm / INCH_MM * 16)
    shop = sixteenths * INCH_MM / 16
    return shop if abs(shop - thickness_mm) <= _NAMED_WITHIN_MM else thickness_mm


@dataclass(frozen=True, slots=True)
class DestructiveTest:
    """One test, and what has to be seen; ``says`` is for reading, not for a verdict."""

    key: str
    name: str
    says: str
    source: str


def _test(row: dict[str, str]) -> DestructiveTest:
    return DestructiveTest(row["key"], row["name"], row["says"], source(row["source"]).key)


TESTS: Final = tuple(_test(row) for row in rows("destructive_tests.tsv"))
