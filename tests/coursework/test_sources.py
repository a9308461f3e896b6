"""The page of sources: nothing that a rule or a value rests on is left out."""

import re

import pytest
from django.test import Client

from coursework.source_uses import source_uses
from tests.coursework.words import words_on
from weldlog.engine.review import RULES

pytestmark = pytest.mark.django_db


def test_every_source_in_use_stands_once_under_its_own_address(client: Client) -> None:
    page = client.get("/sources/").text
    used = [key for key, uses in source_uses().items() if uses]
    assert sorted(re.findall(r'<li id="([^"]+)"', page)) == sorted(used)


def test_no_source_is_listed_without_what_rests_on_it(client: Client) -> None:
    page = client.get("/sources/").text
    entries = re.findall(r'<li id="[^"]+">(.*?)</li>', page, re.DOTALL)
    assert entries
    kinds = ("Rules: ", "Tables: ", "Formulas: ", "Pages: ", "Checked in the tests of: ")
    assert [each for each in entries if not any(kind in each for kind in kinds)] == []


def test_what_a_rule_a_table_a_guide_or_a_check_names_is_in_use() -> None:
    uses = source_uses()
    assert {rule.id for rule in RULES.values()} == {
        rule for each in uses.values() for rule in each.rules
    }
    # One row of the table of thermal efficiencies for each process, both from heat-S1.
    assert uses["heat-S1"].tables["efficiencies"] == 2
    assert "energy" in uses["heat-S12"].formulas
    assert "heat_guide" in uses["heat-S9"].guides
    assert "test_heat_guide" in uses["heat-S14"].checks


def test_every_rule_stands_with_its_source(client: Client) -> None:
    page = client.get("/sources/").text
    entries = dict(re.findall(r'<li id="([^"]+)">(.*?)</li>', page, re.DOTALL))
    apart = {rule.id for rule in RULES.values() if rule.id not in entries[rule.source]}
    assert apart == set()


def test_a_remembered_source_is_not_among_those_read(client: Client) -> None:
    page = client.get("/sources/").text
    read, remembered = page.split('id="standing-memory"')
    assert 'id="heat-S1"' in read
    assert 'id="memory-aws-d1-1"' not in read
    assert 'id="memory-aws-d1-1"' in remembered


def test_the_four_standings_are_explained(client: Client) -> None:
    text = words_on(client.get("/sources/"))
    for meaning in ("The page was read", "Remembered from", "no document says it", "never judged"):
        assert meaning in text


def test_no_source_stands_in_the_tables_that_nothing_rests_on() -> None:
    assert [key for key, uses in source_uses().items() if not uses] == []
