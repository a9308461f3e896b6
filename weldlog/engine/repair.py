"""Repair of a used part: what its life has left in the metal, and what to do about it first.

Rules for coupons that say ``work: repair``. They speak beside the cleaning rules, which judge
what was done; these say what a used part asks for.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from weldlog.engine.facts import BaseMetal
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
CRACK_CUT_OUT: Final = Rule(
    id="alloy-repair-crack-cut-out",
    severity="advise",
    says="Welding over a crack leaves the crack. Follow it to both ends and cut it out to sound "
    "metal with a cutter, scraper or file and without heat, then degrease and brush again.",
    source="prep-S2",
    fields=("work",),
)
OLD_WELD: Final = Rule(
    id="alloy-repair-old-weld",
    severity="advise",
    says="An old weld may hold another filler than yours, and what melts of it mixes into your "
    "weld. Cut it out as far as you can, or find out what it was made with.",
    source="practice",
    fields=("work", "filler.designation"),
)
RULES: Final = (
    UNKNOWN_METAL,
    SOAKED_CASTING,
    COATED,
    HEAVY_OXIDE,
    CRACK_CUT_OUT,
    OLD_WELD,
)


def check(sides: Sequence[BaseMetal], *, unknown: bool, cast: bool) -> Iterator[Finding]:
    """Yield what a used part asks for.

    Parameters
    ----------
    sides : sequence of BaseMetal
        The sides of the joint as they were logged; may be empty.
    unknown, cast : bool
        Whether the alloy of a side is not known, and whether one is a casting.
    """
    if unknown:
        yield UNKNOWN_METAL.found(measured="unknown")
    if cast:
        yield SOAKED_CASTING.found()
    coatings = [side.coating for side in sides if side.coating not in (None, "none")]
    if coatings:
        yield COATED.found(
            measured=coatings[0],
            limit=CLEARED_MM,
            near_text=in_units(CLEARED_MM, "mm"),
            far_text=in_units(CLEARED_WELL_MM, "mm"),
        )
    wet = [side.stored for side in sides if side.stored in _WET]
    if wet:
        yield HEAVY_OXIDE.found(measured=wet[0])
    yield CRACK_CUT_OUT.found()
    yield OLD_WELD.found()
