"""The order of cleaning: degrease, dry, remove the oxide, then strike the arc.

Degreasing first is compulsory (notes rows P06 to P08). Brushing a greasy plate drives the oil
into the metal, and no later wipe brings it out again; two sources that name the brush first
(prep-S4 and one line of prep-S14) are not followed. Everything may be done again: what counts is
that a degrease, a drying and an oxide removal follow each other somewhere before the arc. An etch
rubs nothing in, so it may follow a wet degreasing; it has to be dried off itself.

A drying that was left out is said once: by the safety family where a solvent that burns was wet at
the arc, else here.

Where a chlorinated solvent was used nothing is said about drying: the part is not to be welded,
and no wait makes it safe.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from weldlog.engine.cleaning_done import Done, Happened, chlorinated, is_etch
from weldlog.engine.drying import evaporated_unlogged, wet_at_the_arc
from weldlog.engine.facts import Facts, Step
from weldlog.engine.findings import Finding, Rule, Severity

_COATINGS: Final = {"paint": "paint", "anodised": "an anodized film", "plated": "plating"}
_EDGE_WORK: Final = frozenset[Step]({"strip_coating", "cut", "dress_edge", "deburr"})
_DRIED: Final[tuple[Step, ...]] = ("degrease", "dry", "remove_oxide")
_LEAVES_RESIDUE: Final = frozenset({"alkaline", "other", "acid_etch", "caustic_etch"})
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
    says="No drying was logged after degreasing. Solvent or rinse water left on the metal gives "
    "hydrogen, pores and harmful gas; let the metal dry fully before you go on.",
    source="prep-S12",
    fields=("cleaning",),
)
DRY_LATE: Final = Rule(
    id="cleaning-dry-late",
    severity="stop",
    says="The oxide was taken off before the metal had dried after degreasing, so wet solvent and "
    "oil were rubbed along the joint. Degrease, let it dry, then take off the oxide.",
    source="prep-S12",
    fields=("cleaning",),
)
DRY_NOT_LOGGED: Final = Rule(
    id="cleaning-dry-not-logged",
    severity="advise",
    says="No drying was logged. By the times the solvent had 5 min or more, which is enough for a "
    "thin wipe; log the drying as a step of its own, so that everybody can see it.",
    source="practice",
    fields=("cleaning",),
)
RESIDUE_LEFT: Final = Rule(
    id="cleaning-residue-left",
    severity="stop",
    says="No drying was logged after the last cleaner or etch. What stays on the metal gives "
    "hydrogen, pores and harmful gas; rinse it off, and let the metal dry before the arc.",
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
    DRY_NOT_LOGGED,
    RESIDUE_LEFT,
    OXIDE_MISSING,
    OXIDE_WIPED,
    EDGE_WORK_LATE,
    COATING_LEFT,
)


def in_order(done: Sequence[Happened], wanted: Sequence[Happened]) -> bool:
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
    names = tuple(map(_name, steps))
    yield from _degreasing(names)
    if not chlorinated(steps):
        yield from _drying(steps)
    yield from _oxide(steps, "stop" if oxide_stays else "warn")
    if "degrease" in names and not _EDGE_WORK.isdisjoint(_after_last("degrease", names)):
        yield EDGE_WORK_LATE.found()
    if coating and "strip_coating" not in names:
        yield COATING_LEFT.found(measured=coating, coating=_COATINGS[coating])


def _name(step: Done) -> Happened:
    """Return what a step does to the metal."""
    if step.step == "remove_oxide" and is_etch(step):
        return "etch"
    return "dry" if step.dries else step.step


def _degreasing(names: Sequence[Happened]) -> Iterator[Finding]:
    if "degrease" not in names:
        yield DEGREASE_MISSING.found()
    elif _degreased_late(names):
        yield DEGREASE_LATE.found()


def _degreased_late(names: Sequence[Happened]) -> bool:
    return "remove_oxide" in names and not in_order(names, ("degrease", "remove_oxide"))


def _drying(steps: Sequence[Done]) -> Iterator[Finding]:
    """Judge the drying before the oxide was taken off, then after what was wiped on last."""
    names = tuple(map(_wetting, steps))
    rubbed_in = in_order(names, ("degrease", "remove_oxide")) and not in_order(names, _DRIED)
    never_dry = "degrease" in names and "dry" not in names[names.index("degrease") :]
    if rubbed_in and _dried_late(steps, names):
        yield DRY_LATE.found()
    elif wet_at_the_arc(steps):
        return
    elif rubbed_in or never_dry:
        yield DRY_MISSING.found()
    elif any(map(_leaves_residue, steps[_place_after("dry", names) :])):
        yield RESIDUE_LEFT.found()
    elif evaporated_unlogged(steps):
        yield DRY_NOT_LOGGED.found()


def _wetting(step: Done) -> Happened:
    """Return what a step does to the metal; a dry cloth wets nothing."""
    return "wipe" if step.step == "degrease" and step.agent == "none" else _name(step)


def _dried_late(steps: Sequence[Done], names: Sequence[Happened]) -> bool:
    """Return whether a drying was logged after the first degreasing."""
    return any(each.step == "dry" for each in steps[names.index("degrease") :])


def _leaves_residue(step: Done) -> bool:
    """Return whether a step wets the metal with what does not burn; safety has what does."""
    return step.agent in _LEAVES_RESIDUE or (step.step == "degrease" and step.agent is None)


def _oxide(steps: Sequence[Done], severity: Severity) -> Iterator[Finding]:
    removals = [each for each in steps if each.step == "remove_oxide" or is_etch(each)]
    if not removals:
        yield OXIDE_MISSING.found(severity=severity)
    elif all(each.tool in _MOVES_DUST_ONLY and not is_etch(each) for each in removals):
        yield OXIDE_WIPED.found(severity=severity)


def _place_after(step: Step, names: Sequence[Happened]) -> int:
    """Return the place behind the last of these steps; the first place where there is none."""
    return len(names) - names[::-1].index(step) if step in names else 0


def _after_last(step: Step, names: Sequence[Happened]) -> Sequence[Happened]:
    return names[_place_after(step, names) :]
