"""What is worth knowing beside a choice of filler, where a coupon cannot state the fact.

The rows of the notes on filler selection that no logged fact can decide: ageing, restraint, gas
welding rods, the classes of wire and rod.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from weldlog.engine.alloys import ALLOYS, Alloy
from weldlog.engine.filler_metals import FILLERS
from weldlog.engine.sources import source
from weldlog.engine.tables import rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One piece of guide text; ``bases`` or ``fillers`` is empty where it holds for any."""

    row: str
    bases: frozenset[str]
    all_sides: bool
    fillers: frozenset[str]
    says: str
    source: str

    def applies(self, sides: tuple[Alloy, Alloy], offered: Collection[str]) -> bool:
        """Whether it belongs beside a choice for these sides that offers these fillers."""
        among = [side.designation in self.bases for side in sides]
        on_bases = not self.bases or (all(among) if self.all_sides else any(among))
        return on_bases and (not self.fillers or not self.fillers.isdisjoint(offered))


def _names(text: str, known: Collection[str]) -> frozenset[str]:
    names = frozenset() if text == "any" else frozenset(text.split())
    if not names <= set(known):
        raise ValueError(f"filler_notes.tsv: not known: {', '.join(sorted(names - set(known)))}.")
    return names


NOTES: Final = tuple(
    Note(
        row=row["row"],
        bases=_names(row["bases"], ALLOYS),
        all_sides=row["of"] == "all",
        fillers=_names(row["fillers"], FILLERS),
        says=row["says"],
        source=source(row["source"]).key,
    )
    for row in rows("filler_notes.tsv")
)
