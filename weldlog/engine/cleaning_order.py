"""The order of cleaning: degrease, dry, remove the oxide, then strike the arc.

Degreasing first is compulsory (notes rows P06 to P08). Brushing a greasy plate drives the oil
into the metal, and no later wipe brings it out again; two sources that name the brush first
(prep-S4 and one line of prep-S14) are not followed. Everything may be done again: what counts is
that a degrease, a drying and an oxide removal follow each other somewhere before the arc.

Where a chlorinated solvent was used nothing is said about drying: the part is not to be welded,
and no wait makes it safe.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from weldlog.engine.cleaning_done import Done, chlorinated, is_etch
from weldlog.engine.facts import Facts, Step
from weldlog.engine.findings import Finding, Rule, Severity

_COATINGS: Final = {"paint": "paint", "anodised": "an anodized film", "plated": "plating"}
_EDGE_WORK: Final = frozenset[Step]({"strip_coating", "cut", "dress_edge", "deburr"})
_DRIED: Final[tuple[Step, ...]] = ("degrease", "dry", "remove_oxide")
_MOVES_DUST_ONLY: Final = frozenset({"lint_free_cloth", "shop_rag", "compressed_air"})

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
    "afterward does not bring it out. Degrease first, then brush again.",
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
RESIDUE_LEFT: Final = Rule(
    id="cleaning-residue-left",
    severity="stop",
    says="Cleaner was wiped on after the last drying. What stays on the metal gives hydrogen, "
    "pores and harmful gas; rinse off an alkaline cleaner, and let the metal dry before the arc.",
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
OXIDE_WIPED: Final = Rule(
    id="cleaning-oxide-wiped",
    severity="stop",
    says="A cloth or a jet of air takes off oil and dust, but the oxide stays. Brush a bright band "
    "beside the joint with a stainless hand brush, or scrape or file it.",
    source="prep-S9",
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
    RESIDUE_LEFT,
    OXIDE_MISSING,
    OXIDE_WIPED,
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


def oxide_stays(facts: Facts) -> bool:
    """Return whether the arc cannot be trusted to clean: no AC cycle, or a thick wet-grown film."""
    if facts.process == "GMAW" or facts.polarity == "DCEN":
        return True
    return any(each.stored in ("outdoors", "immersed") for each in facts.base_metals or ())


def coating(facts: Facts) -> str | None:
    """Return the first coating that a side of the joint came with, or None."""
    return next(
        (each.coating for each in facts.base_metals or () if each.coating in _COATINGS), None
    )


def check_order(
    steps: Sequence[Done], *, oxide_stays: bool, coating: str | None
) -> Iterator[Finding]:
    """Judge which steps were done, and in which order.

    Parameters
    ----------
    steps : sequence of Done
        What was done; empty when nothing was.
    oxide_stays : bool
        Whether oxide that is left on makes it a stop.
    coating : str or None
        What the metal came coated with.
    """
    names = tuple(each.step for each in steps)
    yield from _degreasing(names)
    if not chlorinated(steps):
        yield from _drying(steps, names)
    yield from _oxide(steps, "stop" if oxide_stays else "warn")
    if "degrease" in names and not _EDGE_WORK.isdisjoint(_after_last("degrease", names)):
        yield EDGE_WORK_LATE.found()
    if coating and "strip_coating" not in names:
        yield COATING_LEFT.found(measured=coating, coating=_COATINGS[coating])


def _degreasing(names: Sequence[Step]) -> Iterator[Finding]:
    if "degrease" not in names:
        yield DEGREASE_MISSING.found()
    elif _degreased_late(names):
        yield DEGREASE_LATE.found()


def _degreased_late(names: Sequence[Step]) -> bool:
    return "remove_oxide" in names and not in_order(names, ("degrease", "remove_oxide"))


def _drying(steps: Sequence[Done], names: Sequence[Step]) -> Iterator[Finding]:
    if "dry" not in names:
        # Where nothing was degreased there was nothing to dry: one stop says enough.
        yield DRY_MISSING.found(severity="stop" if "degrease" in names else "advise")
    elif "degrease" not in names or _degreased_late(names):
        return
    elif not in_order(names, [each for each in _DRIED if each in names]):
        yield DRY_LATE.found()
    elif any(map(_leaves_residue, steps[_place_after("dry", names) :])):
        yield RESIDUE_LEFT.found()


def _leaves_residue(step: Done) -> bool:
    """Return whether a step wets the metal with what does not burn; safety has what does."""
    return step.agent in ("alkaline", "other") or (step.step == "degrease" and step.agent is None)


def _oxide(steps: Sequence[Done], severity: Severity) -> Iterator[Finding]:
    removals = [each for each in steps if each.step == "remove_oxide"]
    if not removals:
        yield OXIDE_MISSING.found(severity=severity)
    elif all(each.tool in _MOVES_DUST_ONLY and not is_etch(each) for each in removals):
        yield OXIDE_WIPED.found(severity=severity)


def _place_after(step: Step, names: Sequence[Step]) -> int:
    """Return the place behind the last of these steps."""
    return len(names) - names[::-1].index(step)


def _after_last(step: Step, names: Sequence[Step]) -> Sequence[Step]:
    return names[_place_after(step, names) :]
