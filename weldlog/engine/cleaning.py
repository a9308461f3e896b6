"""Cleaning: the state of the metal, the steps in their order, the tools, and the time to the arc.

Rows P01 to P26 of the preparation notes, as far as a coupon can state them.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from weldlog.engine import cleaning_order, cleaning_window, condensation, stock
from weldlog.engine.cleaning_order import check_order
from weldlog.engine.cleaning_window import check_window
from weldlog.engine.condensation import check_condensation
from weldlog.engine.facts import CleaningStep, Facts
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.rulebook import judge, judge_each, read_rules
from weldlog.engine.stock import check_stock

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
    severity="advise",
    says="A disc leaves grit in soft aluminum. After dressing with a disc, degrease again and "
    "finish with a stainless hand brush.",
    source="prep-S14",
    fields=("cleaning",),
)
NOT_BRUSHED_BETWEEN_RUNS: Final = Rule(
    id="cleaning-between-runs",
    severity="warn",
    says="The runs were not brushed in between. Oxide and smut on a run keep the next one from "
    "fusing to it; brush every run and every restart, even where it shines.",
    source="prep-S2",
    fields=("interpass_brushed",),
)
_TOOLS: Final = read_rules("cleaning_tools.tsv", inside="cleaning.")
_HANDLING: Final = read_rules("cleaning_handling.tsv")

RULES: Final[tuple[Rule, ...]] = (
    *cleaning_order.RULES,
    *(each.rule for each in _TOOLS),
    BLOWN_OFF,
    GRIT_LEFT,
    *cleaning_window.RULES,
    *stock.RULES,
    *(each.rule for each in _HANDLING),
    *condensation.RULES,
    NOT_BRUSHED_BETWEEN_RUNS,
)


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Judge how the metal and the filler of one coupon were prepared.

    Parameters
    ----------
    case : Case
        ``cleaning`` None is not assessed; an empty ``cleaning`` says that nothing was done.
    """
    facts = case.facts
    if facts.cleaning is None:
        yield NotAssessed("cleaning", ("cleaning",))
    else:
        yield from check_order(facts, facts.cleaning)
        yield from _tools(facts.cleaning)
        yield from check_window(case, facts.cleaning)
    yield from check_stock(facts)
    yield from judge(_HANDLING, facts)
    yield from check_condensation(facts)
    yield from _between_runs(facts)


def _tools(steps: Sequence[CleaningStep]) -> Iterator[Finding | NotAssessed]:
    yield from judge_each(_TOOLS, steps, inside="cleaning.")
    if any(map(_tool_wanted, steps)):
        yield NotAssessed("tool that removed the oxide", ("cleaning.tool",))
    if any(step.tool == "stainless_hand_brush" and step.tool_kept_for is None for step in steps):
        yield NotAssessed("whether the brush is kept for aluminum", ("cleaning.tool_kept_for",))
    yield from _after_degreasing(steps)


def _tool_wanted(step: CleaningStep) -> bool:
    etched = step.agent in ("acid_etch", "caustic_etch")
    return step.step == "remove_oxide" and step.tool is None and not etched


def _after_degreasing(steps: Sequence[CleaningStep]) -> Iterator[Finding]:
    """Judge what came onto the metal after it was last degreased."""
    degreased = [place for place, each in enumerate(steps) if each.step == "degrease"]
    after = steps[degreased[-1] + 1 :] if degreased else steps
    if any(each.step == "blow_off" or each.tool == "compressed_air" for each in after):
        yield BLOWN_OFF.found()
    disc = [each.tool in ("flap_disc", "sanding_disc") for each in after]
    if True in disc:
        finish = after[disc.index(True) :]
        if not any(each.tool == "stainless_hand_brush" for each in finish):
            yield GRIT_LEFT.found()


def _between_runs(facts: Facts) -> Iterator[Finding | NotAssessed]:
    """Judge the brushing between runs, where there was more than one or nobody said."""
    if facts.run_list is None:
        answers = [facts.interpass_brushed]
        several = facts.runs is None or facts.runs > 1
    else:
        answers = [facts.interpass_brushed, *(run.interpass_brushed for run in facts.run_list)]
        several = True
    if several and False in answers:
        yield NOT_BRUSHED_BETWEEN_RUNS.found(measured="false")
    elif (facts.run_list or (facts.runs or 1) > 1) and True not in answers:
        yield NotAssessed("brushing between the runs", ("interpass_brushed",))
