"""The order of cleaning: degrease, dry, remove the oxide, then strike the arc.

Degreasing first is compulsory (notes rows P06 to P08). Brushing a greasy plate drives the oil
into the metal, and no later wipe brings it out again; two sources that name the brush first
(prep-S4 and one line of prep-S14) are not followed. Everything may be done again: what counts is
that a degrease, a drying and an oxide removal follow each other somewhere before the arc.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from weldlog.engine.facts import CleaningStep, Facts, Step
from weldlog.engine.findings import Finding, Rule

_COATINGS: Final = {"paint": "paint", "anodised": "an anodized film", "plated": "plating"}
_EDGE_WORK: Final = frozenset[Step]({"strip_coating", "cut", "dress_edge", "deburr"})

DEGREASE_MISSING: Final = Rule(
    id="cleaning-degrease-missing",
    severity="stop",
    says="No degreasing was logged. Oil and fingerprints turn into pores, and the brush drives "
    "them into the metal; wipe with degreaser and a clean cloth before anything else.",
    source="prep-S1",
    fields=("cleaning",),
)
DEGREASE_LATE: Final = Rule(
    id="cleaning-degrease-late",
    severity="stop",
    says="The oxide was removed before the metal was degreased, so oil was rubbed in, and a wipe "
    "afterward does not bring it out. Degrease, let it dry, then brush again.",
    source="prep-S1",
    fields=("cleaning",),
)
DRY_MISSING: Final = Rule(
    id="cleaning-dry-missing",
    severity="stop",
    says="No drying was logged. Solvent or rinse water left on the metal gives hydrogen, pores and "
    "harmful gas; after degreasing let it dry fully before you brush.",
    source="prep-S12",
    fields=("cleaning",),
)
DRY_LATE: Final = Rule(
    id="cleaning-dry-late",
    severity="stop",
    says="The metal was not dry between degreasing and brushing, so the brush carried wet solvent "
    "and oil along the joint. Degrease, let it dry, then brush.",
    source="prep-S12",
    fields=("cleaning",),
)
OXIDE_MISSING: Final = Rule(
    id="cleaning-oxide-missing",
    severity="stop",
    says="No oxide removal was logged. The oxide melts near 2050 °C and the metal near 660 °C, so "
    "its skin stays in the weld; brush a bright band beside the joint by hand.",
    source="prep-S18",
    fields=("cleaning",),
)
EDGE_WORK_LATE: Final = Rule(
    id="cleaning-edge-work-late",
    severity="warn",
    says="An edge was worked after the metal was degreased. Burrs, chips and cutting oil hold "
    "grease that brushing alone does not remove: strip, cut, dress and deburr first.",
    source="prep-S1",
    fields=("cleaning",),
)
COATING_LEFT: Final = Rule(
    id="cleaning-coating-left",
    severity="stop",
    says="The metal has a coating ({coating}) and no stripping was logged. Coatings give fumes and "
    "hydrogen and keep the weld from fusing; strip both faces well back from the joint, first.",
    source="prep-S2",
    fields=("base_metals", "cleaning"),
)
RULES: Final = (
    DEGREASE_MISSING,
    DEGREASE_LATE,
    DRY_MISSING,
    DRY_LATE,
    OXIDE_MISSING,
    EDGE_WORK_LATE,
    COATING_LEFT,
)


def in_order(done: Sequence[Step], wanted: Sequence[Step]) -> bool:
    """Return whether the wanted steps follow each other somewhere among those that were done.

    >>> in_order(("degrease", "dry", "remove_oxide", "wipe"), ("degrease", "remove_oxide"))
    True
    >>> in_order(("remove_oxide", "degrease"), ("degrease", "remove_oxide"))
    False
    """
    rest = iter(done)
    return all(step in rest for step in wanted)


def check_order(facts: Facts, steps: Sequence[CleaningStep]) -> Iterator[Finding]:
    """Judge which steps were done, and in which order.

    Parameters
    ----------
    facts : Facts
    steps : sequence of CleaningStep
        What was done; empty when nothing was.
    """
    done = tuple(each.step for each in steps)
    yield from _missing(facts, done)
    yield from _misplaced(done)
    yield from _coating(facts, done)


def _missing(facts: Facts, done: Sequence[Step]) -> Iterator[Finding]:
    if "degrease" not in done:
        yield DEGREASE_MISSING.found()
    if "dry" not in done:
        # Where nothing was degreased there was nothing to dry: one stop says enough.
        yield DRY_MISSING.found(severity="stop" if "degrease" in done else "advise")
    if "remove_oxide" not in done:
        yield OXIDE_MISSING.found(severity="stop" if _oxide_stays(facts) else "warn")


def _oxide_stays(facts: Facts) -> bool:
    """Return whether the arc cannot be trusted to clean: no AC cycle, or a thick wet-grown film."""
    weathered = any(each.stored in ("outdoors", "immersed") for each in facts.base_metals or ())
    return facts.process == "GMAW" or facts.polarity == "DCEN" or weathered


def _misplaced(done: Sequence[Step]) -> Iterator[Finding]:
    if {"degrease", "remove_oxide"} <= set(done) and not in_order(
        done, ("degrease", "remove_oxide")
    ):
        yield DEGREASE_LATE.found()
    elif "degrease" in done and "dry" in done:
        wanted: tuple[Step, ...] = ("degrease", "dry", "remove_oxide")
        if not in_order(done, tuple(step for step in wanted if step in done)):
            yield DRY_LATE.found()
    if "degrease" in done:
        after = done[len(done) - done[::-1].index("degrease") :]
        if not _EDGE_WORK.isdisjoint(after):
            yield EDGE_WORK_LATE.found()


def _coating(facts: Facts, done: Sequence[Step]) -> Iterator[Finding]:
    if "strip_coating" in done:
        return
    for each in facts.base_metals or ():
        if each.coating in _COATINGS:
            yield COATING_LEFT.found(measured=each.coating, coating=_COATINGS[each.coating])
            return
