"""The tools and agents of cleaning: brushes, wheels, discs, cloths and air (rows P09 to P12)."""

from collections.abc import Iterator, Sequence
from typing import Final

from weldlog.engine.cleaning_done import Done, is_etch
from weldlog.engine.cleaning_order import in_order
from weldlog.engine.findings import Finding, NotAssessed, Rule
from weldlog.engine.rulebook import judge_each, read_rules

_DISCS: Final = frozenset({"flap_disc", "sanding_disc"})
_ASKED_OF: Final = frozenset({"stainless_hand_brush", "power_wire_wheel"})

BLOWN_OFF: Final = Rule(
    id="cleaning-compressed-air",
    severity="warn",
    says="Compressed air carries water and oil onto metal that is already clean. Leave it off "
    "after degreasing and wipe with clean paper or a lint-free cloth instead.",
    source="prep-S14",
    fields=("cleaning",),
)
GRIT_LEFT: Final = Rule(
    id="cleaning-grit-left",
    severity="warn",
    says="A disc leaves grit in soft aluminum. After dressing with a disc, degrease again and "
    "finish with a stainless hand brush.",
    source="prep-S14",
    fields=("cleaning",),
)
_TABLE: Final = read_rules("cleaning_tools.tsv", inside="cleaning.")
RULES: Final = (*(each.rule for each in _TABLE), BLOWN_OFF, GRIT_LEFT)


def check_tools(steps: Sequence[Done]) -> Iterator[Finding | NotAssessed]:
    """Judge what the metal was cleaned with.

    Parameters
    ----------
    steps : sequence of Done
        What was done; what was not said about a step is asked for.
    """
    yield from judge_each(_TABLE, steps, inside="cleaning.")
    yield from _unsaid(steps)
    if any(each.step == "blow_off" or each.tool == "compressed_air" for each in _clean(steps)):
        yield BLOWN_OFF.found()
    if _grit_left(steps):
        yield GRIT_LEFT.found()


def _unsaid(steps: Sequence[Done]) -> Iterator[NotAssessed]:
    if any(each.step == "degrease" and each.agent is None for each in steps):
        yield NotAssessed("what the metal was degreased with", ("cleaning.agent",))
    if any(each.step == "remove_oxide" and not each.tool and not is_etch(each) for each in steps):
        yield NotAssessed("tool that removed the oxide", ("cleaning.tool",))
    if any(each.tool in _ASKED_OF and each.tool_kept_for is None for each in steps):
        yield NotAssessed("whether the brush is kept for aluminum", ("cleaning.tool_kept_for",))


def _clean(steps: Sequence[Done]) -> Sequence[Done]:
    """Return the steps behind the last degreasing, or all where there was none."""
    degreased = [place for place, each in enumerate(steps) if each.step == "degrease"]
    return steps[degreased[-1] + 1 :] if degreased else steps


def _grit_left(steps: Sequence[Done]) -> bool:
    """Return whether a disc was used and not followed by another degreasing and brushing."""
    discs = [place for place, each in enumerate(steps) if each.tool in _DISCS]
    after = [each.step for each in steps[discs[-1] + 1 :]] if discs else ()
    return bool(discs) and not in_order(after, ("degrease", "remove_oxide"))
