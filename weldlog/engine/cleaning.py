"""Cleaning: the state of the metal, the steps in their order, the tools, and the time to the arc.

Rows P01 to P26 of the preparation notes, as far as a coupon can state them; ``guide_tables``
holds all of them, and says which rule judges which row.
"""

from collections.abc import Iterator
from functools import lru_cache
from typing import Final

from weldlog.engine import cleaning_order, cleaning_tools, cleaning_window, condensation, stock
from weldlog.engine.cleaning_done import REMEMBERED, Done, chlorinated
from weldlog.engine.cleaning_order import check_order, coating, oxide_stays
from weldlog.engine.cleaning_tools import check_tools
from weldlog.engine.cleaning_window import check_window
from weldlog.engine.condensation import check_condensation
from weldlog.engine.drying import happened
from weldlog.engine.facts import Facts, Filler
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.rulebook import judge, read_rules
from weldlog.engine.stock import check_stock

NOT_BRUSHED_BETWEEN_RUNS: Final = Rule(
    id="cleaning-between-runs",
    severity="warn",
    says="The runs were not brushed in between. Oxide and smut on a run keep the next one from "
    "fusing to it; brush every run and every restart, even where it shines.",
    source="prep-S2",
    fields=("interpass_brushed",),
)
ROD_END_NOT_CUT: Final = Rule(
    id="cleaning-rod-end-not-cut",
    severity="advise",
    says="There was a stop, and the rod was not cut back. Its hot end turned gray in the air and "
    "carries that oxide into the pool; snip it off before you strike again.",
    source="practice",
    fields=("stops", "cleaning"),
)
_HANDLING: Final = read_rules("cleaning_handling.tsv")

RULES: Final[tuple[Rule, ...]] = (
    *cleaning_order.RULES,
    *cleaning_tools.RULES,
    *cleaning_window.RULES,
    *stock.RULES,
    *(each.rule for each in _HANDLING),
    *condensation.RULES,
    NOT_BRUSHED_BETWEEN_RUNS,
    ROD_END_NOT_CUT,
)


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Judge how the metal and the filler of one coupon were prepared.

    Parameters
    ----------
    case : Case
        ``cleaning`` None is not assessed; an empty ``cleaning`` says that nothing was done.
    """
    facts = case.facts
    steps = happened(facts)
    if facts.cleaning is None:
        yield NotAssessed("cleaning", ("cleaning",))
    else:
        yield from _steps(steps, oxide_stays(facts), coating(facts))
        if not chlorinated(steps):
            yield from check_window(case, facts.cleaning)
    yield from check_stock(facts, steps)
    yield from judge(_HANDLING, facts)
    yield from check_condensation(facts)
    yield from _between_runs(facts)
    yield from _rod_end(facts, steps)


@lru_cache(maxsize=REMEMBERED)
def _steps(
    steps: tuple[Done, ...],
    stays: bool,
    coated: str | None,  # a key, as it is
) -> tuple[Finding | NotAssessed, ...]:
    """Judge what follows from the steps alone, whatever the time of day."""
    order = check_order(steps, oxide_stays=stays, coating=coated)
    return (*order, *check_tools(steps))


def _between_runs(facts: Facts) -> Iterator[Finding | NotAssessed]:
    """Judge the brushing of every run and restart, where there was one or nobody said."""
    answers = [facts.interpass_brushed, *(run.interpass_brushed for run in facts.run_list or ())]
    runs = len(facts.run_list) if facts.run_list else facts.runs
    if False in answers and (runs != 1 or facts.stops):
        yield NOT_BRUSHED_BETWEEN_RUNS.found(measured="false")
    elif runs is not None and facts.interpass_brushed is None and answers.count(True) < runs - 1:
        yield NotAssessed("brushing between the runs", ("interpass_brushed",))


def _rod_end(facts: Facts, steps: tuple[Done, ...]) -> Iterator[Finding]:
    """Judge the end of the rod after a stop, where rod and cleaning were logged (row P17)."""
    stopped = facts.stops and facts.process == "GTAW" and isinstance(facts.filler, Filler)
    if stopped and steps and all(each.step != "recut_rod" for each in steps):
        yield ROD_END_NOT_CUT.found(measured=facts.stops)
