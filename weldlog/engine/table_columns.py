"""The columns that the tables of alloys and of fillers share: contents and sources."""

from dataclasses import dataclass
from typing import Final

from weldlog.engine.dilution import Composition
from weldlog.engine.sources import source

ELEMENTS: Final = ("si", "fe", "cu", "mn", "mg", "cr", "zn", "ti")


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """Limits of one element [percent by mass]; ``low`` is None where there is only a maximum."""

    low: float | None
    high: float | None


def number(text: str) -> float | None:
    """Return the number in a cell of a table, or None where the cell is empty."""
    return float(text) if text else None


def limits_of(row: dict[str, str]) -> dict[str, Limit]:
    """Return the composition limits in a row of a table, element by element."""
    pairs = {each: (number(row[f"{each}_min"]), number(row[f"{each}_max"])) for each in ELEMENTS}
    return {
        each: Limit(low=low, high=high)
        for each, (low, high) in pairs.items()
        if (low, high) != (None, None)
    }


def nominal_of(row: dict[str, str]) -> Composition:
    """Return the nominal composition in a row of a table; an empty cell is zero."""
    content = {
        each: number(row[f"nominal_{each}"]) or 0.0 for each in ("si", "mg", "cu", "zn", "mn")
    }
    return Composition(**content)


def sources_of(row: dict[str, str]) -> dict[str, tuple[str, ...]]:
    """Return the sources of a row by group of values, each key checked against the tables."""
    found = {
        name.removesuffix("_source"): tuple(keys.split())
        for name, keys in row.items()
        if name.endswith("_source") and keys
    }
    for key in (each for keys in found.values() for each in keys):
        source(key)
    return found
