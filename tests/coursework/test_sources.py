"""The page of sources: nothing that a rule or a value rests on is left out."""

import re

import pytest
from django.test import Client

from tests.coursework.words import words_on
from weldlog.engine.review import RULES
from weldlog.engine.sources import SOURCES

pytestmark = pytest.mark.django_db


def test_every_source_stands_once_under_its_own_address(client: Client) -> None:
    page = client.get("/sources/").text
    assert sorted(re.findall(r'<li id="([^"]+)"', page)) == sorted(SOURCES)


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
