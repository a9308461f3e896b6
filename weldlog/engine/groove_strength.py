"""Typical strength of groove welds, as a producer tabulates them by alloy and filler."""

from dataclasses import dataclass
from typing import Final

from weldlog.engine.alloys import ALLOYS
from weldlog.engine.filler_metals import FILLERS
from weldlog.engine.sources import source
from weldlog.engine.tables import rows

#: One kip per square inch, by the definitions of the pound-force and the inch [MPa].
KSI_MPA: Final = 6.894757


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveStrength:
    """Typical tensile strength of a groove weld; the table gives ksi.

    ``heat_treated_after`` says that the joint was solution treated and aged after welding, else
    it is as welded.
    """

    alloy: str
    temper: str
    filler: str
    heat_treated_after: bool
    uts_ksi: float
    source: str

    @property
    def uts_mpa(self) -> float:
        """The same strength [MPa]."""
        return self.uts_ksi * KSI_MPA

    @property
    def says(self) -> str:
        """One sentence of it for a student."""
        state = ", heat treated again," if self.heat_treated_after else ""
        strength = f"{self.uts_mpa:.0f} MPa ({self.uts_ksi:.0f} ksi)"
        return f"A groove weld in {self.alloy}-{self.temper}{state} typically holds {strength}."


def _read(row: dict[str, str]) -> GrooveStrength:
    if row["alloy"] not in ALLOYS or row["filler"] not in FILLERS:
        raise ValueError(f"groove_strengths.tsv: {row['alloy']} with {row['filler']}: not known.")
    return GrooveStrength(
        alloy=row["alloy"],
        temper=row["temper"],
        filler=row["filler"],
        heat_treated_after=row["heat_treated_after"] == "yes",
        uts_ksi=float(row["uts_ksi"]),
        source=source(row["source"]).key,
    )


GROOVE_STRENGTHS: Final = tuple(_read(row) for row in rows("groove_strengths.tsv"))


def groove_strengths(alloy: str, filler: str) -> tuple[GrooveStrength, ...]:
    """Return what is tabulated for an alloy welded to itself with a filler; mostly nothing.

    >>> [round(each.uts_mpa) for each in groove_strengths("5052", "5356")]
    [193]
    """
    return tuple(each for each in GROOVE_STRENGTHS if (each.alloy, each.filler) == (alloy, filler))
