"""What the filler charts say about a pair of base metals."""

from dataclasses import dataclass
from functools import cache
from typing import Final, Literal, get_args

from weldlog.engine.alloys import Alloy
from weldlog.engine.filler_metals import FILLERS, FillerMetal
from weldlog.engine.sources import source
from weldlog.engine.tables import rows

Standing = Literal["weldable", "with_care", "not_recommended"]
STANDINGS: tuple[Standing, ...] = get_args(Standing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """The fillers that charts name for two base metals, by designation and best first.

    ``like`` names the pair that this one follows by rule, where no chart names it itself;
    then ``source`` is ``rule``.
    """

    standing: Standing
    first_choice: str
    acceptable: tuple[str, ...]
    never: frozenset[str]
    why: str
    sources: tuple[str, ...]
    sources_disagree: str
    like: tuple[str, str] | None = None

    @property
    def source(self) -> str:
        """Key of the main source."""
        return "rule" if self.like else self.sources[0]

    def place(self, metal: FillerMetal) -> int | None:
        """Return 0 for the first choice, 1 and up for the acceptable ones, None for the rest."""
        named = (self.first_choice, *self.acceptable)
        return named.index(metal.designation) if metal.designation in named else None


def _pair(row: dict[str, str]) -> Pair:
    standing = next((each for each in STANDINGS if each == row["standing"]), None)
    named = (row["first_choice"], *row["acceptable"].split(), *row["never"].split())
    unknown = [each for each in named if each and each not in FILLERS]
    if standing is None or unknown or not row["why"]:
        raise ValueError(f"filler_pairs.tsv: {row['base_a']} + {row['base_b']}: cannot be read.")
    sources = tuple(source(key).key for key in row["sources"].split())
    return Pair(
        standing=standing,
        first_choice=row["first_choice"],
        acceptable=tuple(row["acceptable"].split()),
        never=frozenset(row["never"].split()),
        why=row["why"],
        sources=sources,
        sources_disagree=row["sources_disagree"],
    )


def _read() -> dict[frozenset[str], Pair]:
    found: dict[frozenset[str], Pair] = {}
    for row in rows("filler_pairs.tsv"):
        for base_a in row["base_a"].split("/"):
            for base_b in row["base_b"].split("/"):
                found[frozenset((base_a, base_b))] = _pair(row)
    return found


CHARTED: Final = _read()


def _closed(alloy: Alloy) -> Pair:
    """Return the pair that a base which is not for arc welding makes with any other."""
    return Pair(
        standing="not_recommended",
        first_choice="",
        acceptable=(),
        never=frozenset(FILLERS),
        why=alloy.why,
        sources=("alloy-S21b",) if alloy.form == "wrought" else ("rule",),
        sources_disagree=alloy.doubt,
    )


@cache
def pair_of(side_a: Alloy, side_b: Alloy) -> Pair:
    """Return what the charts say about two base metals, in either order.

    A pair that no chart names follows the pair of the alloys that its sides are charted as:
    5456 as 5083, 6005A as 6063, and so on.
    """
    for side in (side_a, side_b):
        if side.weldability == "not_recommended":
            return _closed(side)
    own = CHARTED.get(frozenset((side_a.designation, side_b.designation)))
    if own:
        return own
    like = (side_a.charted_as, side_b.charted_as)
    kin = CHARTED[frozenset(like)]
    return Pair(
        standing=kin.standing,
        first_choice=kin.first_choice,
        acceptable=kin.acceptable,
        never=kin.never,
        why=kin.why,
        sources=kin.sources,
        sources_disagree=kin.sources_disagree,
        like=like,
    )


def refused(both: tuple[Alloy, Alloy]) -> bool:
    """Whether the two metals are not for arc welding with each other, whatever the filler."""
    return pair_of(*both).standing == "not_recommended"
