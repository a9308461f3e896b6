"""Imports run one way: engine <- coursework's few bridges <- pages; the shell stands beside."""

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# Who may look down from the pages into the trade, and nobody else.
BRIDGES = (
    "coursework/assess.py",
    "coursework/benchmarks/",
    "coursework/choices.py",
    "coursework/forms/",
    "coursework/limit_confirming.py",
    "coursework/management/commands/",
    "coursework/measures.py",
    "coursework/recheck.py",
    "coursework/record_making.py",
    "coursework/targets.py",
    "coursework/templatetags/guide_tags.py",
    "coursework/views/alloy.py",
    "coursework/views/alloys.py",
    "coursework/views/cleaning_guide.py",
    "coursework/views/filler_guide.py",
    "coursework/views/guides.py",
    "coursework/views/heat_guide.py",
    "coursework/source_uses.py",
    "coursework/views/set_up_guide.py",
    "coursework/views/imperfection.py",
    "coursework/views/imperfection_guide.py",
    "coursework/views/sources.py",
    "coursework/wording.py",
)
SHELL = {"manage.py", "weldlog/bootstrap.py", "weldlog/system_packages.py"}


def imported(path: Path) -> Iterator[str]:
    """Yield the full name of every module that the file imports, wherever in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: a relative import hides where it points"
            yield node.module or ""
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def files(folder: str) -> list[Path]:
    found = sorted((ROOT / folder).rglob("*.py"))
    assert found, folder
    return found


def is_of(name: str, package: str) -> bool:
    return name == package or name.startswith(f"{package}.")


def test_the_engine_needs_the_standard_library_and_itself_alone() -> None:
    strangers = {
        f"{path.relative_to(ROOT)} imports {name}"
        for path in files("weldlog/engine")
        for name in imported(path)
        if not is_of(name, "weldlog.engine")
        and name.partition(".")[0] not in sys.stdlib_module_names
        and name != "weldlog"
    }
    assert not strangers


def test_only_the_bridges_look_down_into_the_engine() -> None:
    others = {
        str(path.relative_to(ROOT))
        for path in files("coursework")
        for name in imported(path)
        if is_of(name, "weldlog.engine")
    }
    assert {name for name in others if not name.startswith(BRIDGES)} == set()


def test_the_app_knows_nothing_of_the_shell() -> None:
    looks_up = {
        str(path.relative_to(ROOT))
        for path in files("coursework")
        for name in imported(path)
        if is_of(name, "weldlog") and not is_of(name, "weldlog.engine") and name != "weldlog"
    }
    assert {n for n in looks_up if not n.startswith("coursework/management/")} == set()


def test_what_runs_before_the_environment_is_there_needs_no_package() -> None:
    for name in SHELL:
        strangers = {
            module
            for module in imported(ROOT / name)
            if module.partition(".")[0] not in {*sys.stdlib_module_names, "weldlog"}
        }
        assert strangers <= {
            "django.core.management",
            "django.core.management.execute_from_command_line",
        }
