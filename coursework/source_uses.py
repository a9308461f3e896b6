"""Where each source is used: by a rule, in a table, behind a formula, on a guide, in a check.

Nothing is kept by hand: rules say their source, tables have columns for it, and formulas, guides
and checks name its key in their text.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path

from django.conf import settings

from weldlog.engine.review import RULES
from weldlog.engine.sources import SOURCES
from weldlog.engine.tables import rows

_WORDS = re.compile(r"[A-Za-z0-9]+(?:-[A-Za-z0-9]+)+")
_SOURCE_OF_A_RULE = re.compile(r'source="[^"]*"')
#: Sources that are no document, and the modules that name them in words of their own.
_NO_DOCUMENT = {"rule": "filler_pairs", "school": "limit_sets"}
_GUIDES = ("coursework/views/*.py", "templates/coursework/*.html")


@dataclass(slots=True)
class Uses:
    """The uses of one source: names of rules, of tables with their rows, and of files."""

    rules: list[str] = field(default_factory=list)
    tables: dict[str, int] = field(default_factory=dict)
    formulas: list[str] = field(default_factory=list)
    guides: list[str] = field(default_factory=list)
    checks: list[str] = field(default_factory=list)

    def __bool__(self) -> bool:
        return any((self.rules, self.tables, self.formulas, self.guides, self.checks))


@cache
def source_uses() -> dict[str, Uses]:
    """Return the uses of every source by its key; one that is nowhere used has empty ones."""
    found: dict[str, Uses] = {key: Uses() for key in SOURCES}
    for rule in RULES.values():
        found[rule.source].rules.append(rule.id)
    for table, counts in _in_tables():
        for key, number in counts.items():
            found[key].tables[table] = number
    formulas = _in_files(_engine(), "*.py") | {key: [name] for key, name in _NO_DOCUMENT.items()}
    guides = _in_files(settings.BASE_DIR, *_GUIDES)
    checks = _in_files(settings.BASE_DIR, "tests/**/test_*.py")
    for key, uses in found.items():
        uses.formulas, uses.guides = formulas.get(key, []), guides.get(key, [])
        uses.checks = checks.get(key, [])
    return found


def _engine() -> Path:
    return Path(str(files("weldlog.engine")))


def _in_tables() -> Iterator[tuple[str, Counter[str]]]:
    """Yield each table of values and how many of its rows name each source.

    The rows of a table of rules are those rules, and are counted as such.
    """
    for table in sorted((_engine() / "tables").glob("*.tsv")):
        read = [] if table.name.startswith("sources_") else rows(table.name)
        if read and read[0].get("rule") not in RULES:
            yield table.stem, Counter(key for row in read for key in _keys_of(row))


def _keys_of(row: dict[str, str]) -> set[str]:
    cells = (cell for name, cell in row.items() if "source" in name and "disagree" not in name)
    return {word for cell in cells for word in cell.split()} & SOURCES.keys()


def _in_files(folder: Path, *patterns: str) -> dict[str, list[str]]:
    """Return, for each key, the names of the files whose text names it otherwise than as a rule."""
    found: dict[str, list[str]] = defaultdict(list)
    for path in sorted(path for pattern in patterns for path in folder.glob(pattern)):
        text = _SOURCE_OF_A_RULE.sub("", path.read_text(encoding="utf-8"))
        for key in sorted(SOURCES.keys() & set(_WORDS.findall(text))):
            if path.stem not in found[key]:
                found[key].append(path.stem)
    return dict(found)
