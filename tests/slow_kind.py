"""A kind of file for the worker of the tests: it stops half way until it is told to go on."""

import time
from pathlib import Path
from typing import Any

from coursework.export_kinds import Kind
from coursework.export_writing import Progress
from coursework.models import Section


def write(_about: Any, to: Path, progress: Progress, *, site: str) -> None:
    """Write half, wait until a file named ``go-on`` lies beside it, write the other half."""
    to.write_text(f"half of a file made at {site}")
    progress(2, 2)
    while not (to.parent / "go-on").exists():
        time.sleep(0.05)
    to.write_text(f"whole file made at {site}")


def slow() -> Kind:
    """Return the kind."""
    return Kind("slow", "Slow", Section, "txt", write)
