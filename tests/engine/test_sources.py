"""A value without a source cannot be built, and every key in the tables leads to a source."""

import re
from importlib.resources import files

import pytest

from weldlog.engine.findings import Rule
from weldlog.engine.heat import THERMAL_EFFICIENCY
from weldlog.engine.review import RULES
from weldlog.engine.sources import SOURCES, STANDINGS, Source, Sourced, source

TABLES = sorted(files("weldlog.engine").joinpath("tables").iterdir(), key=lambda table: table.name)
KEY = re.compile(r"\b(?:heat-S\d+|memory-[a-z0-9-]+)\b")


def test_documents_that_were_not_read_say_so() -> None:
    for key, found in SOURCES.items():
        assert found.standing in STANDINGS
        assert (found.standing == "memory") == key.startswith("memory-")


@pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.id)
def test_every_rule_names_its_source(rule: Rule) -> None:
    assert rule.source in SOURCES


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_key_in_a_table_leads_to_a_source(table: object) -> None:
    text = table.read_text(encoding="utf-8")  # type: ignore[attr-defined]
    assert set(KEY.findall(text)) <= set(SOURCES)


def test_efficiencies_stand_with_their_source() -> None:
    # EN 1011-1 and ISO/TR 17671-1 as quoted by heat-S1: 141 is 0.6, 131 is 0.8.
    assert {process: each.value for process, each in THERMAL_EFFICIENCY.items()} == {
        "GTAW": 0.6,
        "GMAW": 0.8,
    }
    assert {each.source for each in THERMAL_EFFICIENCY.values()} == {"heat-S1"}


@pytest.mark.parametrize("key", ["", "heat-S10", "heat"])
def test_nothing_is_built_on_an_unknown_source(key: str) -> None:
    with pytest.raises(ValueError, match="No source is named"):
        source(key)
    with pytest.raises(ValueError, match="No source is named"):
        Sourced(0.6, key)
    with pytest.raises(ValueError, match="No source is named"):
        Rule(id="heat-x", severity="warn", says="x", source=key, fields=())


def test_a_source_needs_key_title_and_standing() -> None:
    with pytest.raises(ValueError, match="needs a key and a title"):
        Source("x", "read", "")
    with pytest.raises(ValueError, match="standing must be one of"):
        Source("x", "certain", "X")  # type: ignore[arg-type]


@pytest.mark.parametrize(("name", "severity"), [("speed-low", "warn"), ("heat-x", "loud")])
def test_a_rule_needs_a_family_and_a_severity(name: str, severity: str) -> None:
    with pytest.raises(ValueError, match=name):
        Rule(id=name, severity=severity, says="x", source="practice", fields=())  # type: ignore[arg-type]
