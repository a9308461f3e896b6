"""Entries that cannot both be right: a process, a polarity or a joint that does not have a member.

Most stand in ``tables/contradictions.tsv``; what needs more than a comparison stands here.
"""

from collections.abc import Iterator
from typing import Final

from weldlog.engine.facts import AlternatingCurrent, Facts
from weldlog.engine.findings import Finding, Rule
from weldlog.engine.rulebook import by_process, judge, read_rules
from weldlog.engine.runs import is_ac
from weldlog.engine.written import in_units, span

HALVES_DIFFER: Final = 0.05
"""How far the current may lie outside those of both halves of AC [-]; common practice, no source.
Inside them any current can be right: machines show the mean, the RMS or one of the halves."""

RUNS_DISAGREE: Final = Rule(
    id="entry-runs-disagree",
    severity="warn",
    says="Check the entry: {runs} runs were counted, and {listed} are listed. The figures use the "
    "list; correct it or the count.",
    source="practice",
    fields=("runs", "run_list"),
)
HALVES_DISAGREE: Final = Rule(
    id="entry-current-and-halves",
    severity="warn",
    says="Check the entry: the current was logged as {logged_text}, and its two halves as "
    "{halves_text}, which cannot make it up. The figures use the halves; check all three.",
    source="practice",
    fields=("current_a", "ac.en_current_a", "ac.ep_current_a"),
)
_BOOK: Final = read_rules("contradictions.tsv")
_BY_PROCESS: Final = by_process(_BOOK)
RULES: Final = (*(each.rule for each in _BOOK), RUNS_DISAGREE, HALVES_DISAGREE)


def check(facts: Facts) -> Iterator[Finding]:
    """Ask about entries of which one has to be wrong."""
    for each in judge(_BY_PROCESS[facts.process], facts):
        if isinstance(each, Finding):
            yield each
    listed = len(facts.run_list or ())
    if listed and facts.runs is not None and facts.runs != listed:
        yield RUNS_DISAGREE.found(
            measured=facts.runs, limit=listed, runs=f"{facts.runs}", listed=f"{listed}"
        )
    if facts.ac is not None and facts.current_a and is_ac(facts):
        yield from _halves(facts.current_a, facts.ac)


def _halves(current_a: float, ac: AlternatingCurrent) -> Iterator[Finding]:
    if not ac.en_current_a or not ac.ep_current_a:
        return
    low, high = sorted((ac.en_current_a, ac.ep_current_a))
    if not (1 - HALVES_DIFFER) * low <= current_a <= (1 + HALVES_DIFFER) * high:
        yield HALVES_DISAGREE.found(
            measured=current_a,
            limit=low if current_a < low else high,
            logged_text=in_units(current_a, "A"),
            halves_text=in_units(low, "A") if low == high else span(low, high, "A"),
        )
