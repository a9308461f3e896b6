"""DEVELOPERS.md tells what the code asks its surroundings for."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ASKING = ("settings.py", "surroundings.py", "bootstrap.py", "system_packages.py", "wsgi.py")
NAME = re.compile(r"WELDLOG_[A-Z_]*[A-Z]")
READS_A_FILE_TOO = re.compile(r'secret\("(WELDLOG_[A-Z_]+)"\)')


def names_in_code() -> set[str]:
    text = "".join((ROOT / "weldlog" / name).read_text(encoding="utf-8") for name in ASKING)
    return {*NAME.findall(text), *(f"{name}_FILE" for name in READS_A_FILE_TOO.findall(text))}


def test_every_variable_that_is_read_is_in_the_table_and_no_other() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = [line for line in text.splitlines() if line.startswith("| `WELDLOG_")]
    assert {row.split("`")[1] for row in rows} == names_in_code()
