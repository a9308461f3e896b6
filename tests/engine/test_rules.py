"""Every rule has a coupon that makes it fire and one that keeps it quiet.

They stand in ``cases_<family>.py`` beside this module, by rule id.
"""

from importlib import import_module
from pathlib import Path
from string import Formatter
from typing import Any

import pytest

from tests.engine.contract import validator
from weldlog.engine.facts import read
from weldlog.engine.review import FAMILIES, RULES, review
from weldlog.engine.school import SchoolRules

Document = dict[str, Any]

MODULES = sorted(path.stem for path in Path(__file__).parent.glob("cases_*.py"))
CASES: dict[str, tuple[Document, Document]] = {}
for name in MODULES:
    CASES |= import_module(f"tests.engine.{name}").CASES


def fired(document: Document) -> set[str]:
    """Return the ids of the rules that speak on a coupon."""
    validator("coupon").validate(document)
    return {each.rule.id for each in review(read(document)).findings}


def test_every_rule_has_a_case_and_every_case_a_rule() -> None:
    assert sorted(CASES) == sorted(RULES)


@pytest.mark.parametrize("rule", sorted(CASES))
def test_rule_fires(rule: str) -> None:
    assert rule in fired(CASES[rule][0])


@pytest.mark.parametrize("rule", sorted(CASES))
def test_rule_stays_quiet(rule: str) -> None:
    assert rule not in fired(CASES[rule][1])


def test_no_two_rules_share_an_id() -> None:
    assert len(RULES) == sum(len(family.RULES) for family in FAMILIES)


@pytest.mark.parametrize("rule", sorted(CASES))
def test_sentence_is_filled_and_ends(rule: str) -> None:
    for finding in review(read(CASES[rule][0])).findings:
        if finding.rule.id == rule:
            assert finding.says.endswith((".", "?"))
            places = {name for _, name, _, _ in Formatter().parse(finding.rule.says) if name}
            assert places <= set(finding.values)


def test_review_notes_which_settings_of_the_school_were_applied() -> None:
    facts = read({"process": "GTAW"})
    longer = review(facts, SchoolRules(cleaning_window_h=6.0))
    assert longer.rules_hash != review(facts).rules_hash
