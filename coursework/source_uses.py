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

_KEYS = re.compile(
    r"(?<![\w-])(?:"
    + "|".join(
        sorted(map(re.escape, (key for key in SOURCES if "-" in key)), key=len, reverse=True)
    )
    + r")(?![\w-])"
)
_SOURCE_OF_A_RULE = re.compile(r'source="[^"]*"')
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
    for key, names in _in_files(_engine(), "*.py").items():
        found[key].formulas = names
    for pattern in _GUIDES:
        for key, names in _in_files(settings.BASE_DIR, pattern).items():
            found[key].guides = sorted({*found[key].guides, *names})
    for key, names in _in_files(settings.BASE_DIR, "tests/**/test_*.py").items():
        found[key].checks = names
    return found


def _engine() -> Path:
    return Path(str(files("weldlog.engine")))


def _in_tables() -> Iterator[tuple[str, Counter[str]]]:
    """Yield each table of values and how many of its rows name each source.

    The rows of a table of rules are those rules, and are counted as such.
    """
    for table in sorted((_engine() / "tables").glob("*.tsv")):
        read = [] if table.name.startswith("sources_") else rows(table.name)
        if read and "rule" not in read[0]:
            yield table.stem, Counter(key for row in read for key in _keys_of(row))


def _keys_of(row: dict[str, str]) -> set[str]:
    cells = (cell for name, cell in row.items() if "source" in name and "disagree" not in name)
    return {word for cell in cells for word in cell.split()} & SOURCES.keys()


def _in_files(folder: Path, pattern: str) -> dict[str, list[str]]:
    """Return, for each key, the names of the files whose text names it otherwise than as a rule."""
    found: dict[str, list[str]] = defaultdict(list)
    for path in sorted(folder.glob(pattern)):
        text = _SOURCE_OF_A_RULE.sub("", path.read_text(encoding="utf-8"))
        for key in sorted(set(_KEYS.findall(text))):
            found[key].append(path.stem)
    return found
