"""One coupon judged by one rule family, and any coupon that the contract allows."""

import json
from collections.abc import Iterator
from functools import cache
from typing import Any, Protocol

from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from tests.engine.contract import CONTRACT, fitting
from weldlog.engine.facts import Facts, read
from weldlog.engine.figures import Figures
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.possible import impossible, without
from weldlog.engine.school import DEFAULT, SchoolRules


class Family(Protocol):
    """What every rule family offers."""

    @property
    def RULES(self) -> tuple[Rule, ...]: ...

    def check(self, case: Case) -> Iterator[Finding | NotAssessed]: ...


def case_of(document: Any, school: SchoolRules = DEFAULT) -> Case:
    """Return a coupon as the families are given it: without the numbers that cannot be."""
    facts: Facts = read(document)
    return Case(without(facts, impossible(facts)), Figures(), school)


def found(family: Family, document: Any, school: SchoolRules = DEFAULT) -> dict[str, Finding]:
    """Return the findings of a family by rule; each rule speaks once."""
    said = [each for each in family.check(case_of(document, school)) if isinstance(each, Finding)]
    by_rule = {each.rule.id: each for each in said}
    assert len(by_rule) == len(said), "a rule spoke twice"
    return by_rule


def severities(family: Family, document: Any, school: SchoolRules = DEFAULT) -> dict[str, str]:
    """Return how loudly each rule of a family spoke."""
    return {rule: each.severity for rule, each in found(family, document, school).items()}


def missing(family: Family, document: Any) -> set[str]:
    """Return the members that a family says are missing."""
    said = family.check(case_of(document))
    return {name for each in said if isinstance(each, NotAssessed) for name in each.missing}


def any_coupon(*members: str) -> st.SearchStrategy[Any]:
    """Return coupons that fit the schema of the contract and state some of these members."""
    schema = _schema("coupon")
    properties = {name: schema["properties"][name] for name in ("process", *members)}
    return fitting(schema | {"properties": properties})


def fits(part: str, document: Any) -> bool:
    """Return whether a document fits one part of the schema of a review."""
    return Draft202012Validator(_schema("review")["properties"][part]).is_valid(document)


@cache
def _schema(name: str) -> dict[str, Any]:
    schema: dict[str, Any] = json.loads((CONTRACT / f"{name}.schema.json").read_text("utf-8"))
    return schema
