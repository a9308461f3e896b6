"""Where every value and rule comes from. A value without a source cannot be built."""

from dataclasses import dataclass
from importlib.resources import files
from typing import Literal, get_args

Standing = Literal["read", "memory", "practice", "doubtful"]
STANDINGS: tuple[Standing, ...] = get_args(Standing)


@dataclass(frozen=True, slots=True)
class Source:
    """One place that values were taken from.

    Parameters
    ----------
    key : str
        Name used by rules and tables, for example ``heat-S1``.
    standing : str
        ``read`` (the page was read), ``memory`` (a document remembered, not read),
        ``practice`` (common practice, no source) or ``doubtful`` (never judged on).
    title : str
        What a reader would look for.

    Raises
    ------
    ValueError
        When the key or the title is empty, or the standing is not one of the four.
    """

    key: str
    standing: Standing
    title: str

    def __post_init__(self) -> None:
        if not self.key or not self.title:
            raise ValueError(f"A source needs a key and a title: {self!r}")
        if self.standing not in STANDINGS:
            raise ValueError(f"{self.key}: the standing must be one of {', '.join(STANDINGS)}.")


def _read_tables() -> dict[str, Source]:
    """Read every ``tables/sources_*.tsv`` (columns: key, standing, title)."""
    found: dict[str, Source] = {}
    for table in sorted(files(__package__).joinpath("tables").iterdir(), key=lambda t: t.name):
        if not (table.name.startswith("sources_") and table.name.endswith(".tsv")):
            continue
        _, *rows = table.read_text(encoding="utf-8").splitlines()
        for row in rows:
            key, standing, title = row.split("\t")
            if key in found:
                raise ValueError(f"{table.name}: the source {key} stands in two tables.")
            found[key] = Source(key, standing, title)  # type: ignore[arg-type]
    return found


SOURCES: dict[str, Source] = _read_tables()


def source(key: str) -> Source:
    """Return the source with this key.

    Raises
    ------
    ValueError
        When no table names it.
    """
    try:
        return SOURCES[key]
    except KeyError:
        raise ValueError(f"No source is named {key!r} in tables/sources_*.tsv.") from None


@dataclass(frozen=True, slots=True)
class Sourced[Value]:
    """A value and where it comes from; it cannot be built without a known source.

    >>> Sourced(0.6, "")
    Traceback (most recent call last):
    ...
    ValueError: No source is named '' in tables/sources_*.tsv.
    """

    value: Value
    source: str

    def __post_init__(self) -> None:
        source(self.source)
