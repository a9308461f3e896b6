"""Repair of a used part: what its life has left in the metal, and what to do about it first.

Rules for coupons that say ``work: repair``. They speak beside the cleaning rules, which judge
what was done; these say what a used part asks for.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from weldlog.engine.facts import Facts
from weldlog.engine.findings import Finding, Rule
from weldlog.engine.written import in_units

#: How far paint is cleared round a repair [mm]; source prep-S2.
CLEARED_MM: Final = 50.0
#: The same, the back face included, where there is room [mm]; source prep-S3.
CLEARED_WELL_MM: Final = 100.0
_WET: Final = frozenset({"outdoors", "immersed"})

UNKNOWN_METAL: Final = Rule(
    id="alloy-repair-unknown-metal",
    severity="warn",
    says="Nobody has said what this used part is made of, so no filler can be named, and some "
    "alloys crack whatever the filler. Look for a stamp, a drawing or the maker's data, or have it "
    "analyzed; looks do not tell.",
    source="alloy-S21h",
    fields=("work", "base_metals.alloy"),
)
UNLISTED_METAL: Final = Rule(
    id="alloy-repair-unlisted-metal",
    severity="warn",
    says="{alloy} is not in our tables, so no filler can be named, and some alloys crack whatever "
    "the filler. Look its composition up in the maker's data and ask your instructor before you "
    "weld this part.",
    source="alloy-S21h",
    fields=("work", "base_metals.alloy"),
)
DIE_CASTING: Final = Rule(
    id="alloy-repair-die-casting",
    severity="advise",
    says="Parts of {alloy} are mostly die cast, and die castings hold gas from the mold: expect "
    "blows and pores whatever you clean. Try it on scrap of the same part first, and ask whether "
    "the repair is worth it.",
    source="practice",
    fields=("work", "base_metals.alloy"),
)
SOAKED_CASTING: Final = Rule(
    id="alloy-repair-soaked-casting",
    severity="advise",
    says="A used casting soaks up oil and dirt through its pores, and the arc draws them out as "
    "bubbles and soot. Cut back to bright metal, degrease more than once, and where the first "
    "run turns black, cut it out and degrease again.",
    source="practice",
    fields=("work", "base_metals.alloy"),
)
COATED: Final = Rule(
    id="alloy-repair-coating",
    severity="advise",
    says="Strip a coating at least {near_text} back all round a repair, and {far_text} with the "
    "back face where there is room: the heat reaches further than the bead. Find out what it is "
    "first, as some coatings give poisonous fumes.",
    source="prep-S2",
    fields=("work", "base_metals.coating"),
)
HEAVY_OXIDE: Final = Rule(
    id="alloy-repair-heavy-oxide",
    severity="advise",
    says="A part that served in the wet carries thick, damp oxide, on its back face and in its "
    "cracks too. Degrease, then file, scrape or mill to bright metal before you brush.",
    source="prep-S36b",
    fields=("work", "base_metals.stored"),
)
CUT_OUT: Final = Rule(
    id="alloy-repair-cut-out",
    severity="advise",
    says="Where the part has a crack or an old weld, cut it out to sound metal with a cutter, "
    "scraper or file and without heat, then degrease and brush again: a crack goes on under the "
    "new weld, and what melts of an old filler mixes into it.",
    source="prep-S2",
    fields=("work",),
)
RULES: Final = (
    UNKNOWN_METAL,
    UNLISTED_METAL,
    SOAKED_CASTING,
    DIE_CASTING,
    COATED,
    HEAVY_OXIDE,
    CUT_OUT,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedMetal:
    """What is known of the metals of a part.

    ``unnamed`` says that nobody named one; ``unlisted`` is a designation that the tables lack,
    ``die_cast`` one of an alloy for die casting.
    """

    unnamed: bool
    unlisted: str | None
    cast: bool
    die_cast: str | None


def check(facts: Facts, metal: UsedMetal) -> Iterator[Finding]:
    """Yield what a used part asks for."""
    if metal.unnamed:
        yield UNKNOWN_METAL.found(measured="unknown")
    if metal.unlisted:
        yield UNLISTED_METAL.found(measured=metal.unlisted, alloy=metal.unlisted)
    if metal.cast:
        yield SOAKED_CASTING.found()
    if metal.die_cast:
        yield DIE_CASTING.found(measured=metal.die_cast, alloy=metal.die_cast.strip())
    yield from _surface(facts)
    yield CUT_OUT.found()


def _surface(facts: Facts) -> Iterator[Finding]:
    """Yield what a coating and the wet left, where no cleaning rule says the same."""
    sides = facts.base_metals or ()
    steps = None if facts.cleaning is None else {each.step for each in facts.cleaning}
    coatings = [side.coating for side in sides if side.coating not in (None, "none")]
    if coatings and (steps is None or "strip_coating" in steps):
        yield COATED.found(
            measured=coatings[0],
            limit=CLEARED_MM,
            near_text=in_units(CLEARED_MM, "mm"),
            far_text=in_units(CLEARED_WELL_MM, "mm"),
        )
    wet = [side.stored for side in sides if side.stored in _WET]
    if wet and (steps is None or "remove_oxide" not in steps):
        yield HEAVY_OXIDE.found(measured=wet[0])
