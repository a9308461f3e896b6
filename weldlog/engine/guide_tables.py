"""What the guides on cleaning and set-up show: the rows of the preparation notes as text.

A row names the rules that judge it on a coupon; ``guide`` alone where no coupon can state it.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from weldlog.engine.sources import SOURCES, Standing, source
from weldlog.engine.tables import rows

GUIDE_ONLY: Final = "guide"


@dataclass(frozen=True, slots=True, kw_only=True)
class GuideRow:
    """What all rows have: the keys of their sources, the main one first.

    A row often has a read part and a figure of common practice: then both keys stand there.
    """

    sources: tuple[str, ...]

    @property
    def standing(self) -> Standing:
        """The standing of the main source."""
        return SOURCES[self.sources[0]].standing


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedRow(GuideRow):
    """A row that a coupon can be held against.

    ``judged`` are the ids of the rules that do, none where it is text of the guide only;
    ``unstated`` says what of it no coupon states.
    """

    judged: tuple[str, ...]
    unstated: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparationStep(JudgedRow):
    """One step of preparation, P01 to P26.

    ``applies`` is a process or ``both``; ``after`` and ``before`` name the steps that it follows
    and precedes; ``if_skipped`` is how loudly that is said (``stop or warn`` where it depends).
    """

    id: str
    step: str
    applies: str
    after: str
    before: str
    if_skipped: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CleaningMethod(JudgedRow):
    """What a method of cleaning is good and poor at, and its place in a class."""

    method: str
    good_at: str
    poor_at: str
    class_use: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OxideFact(GuideRow):
    """How the oxide grows in one condition."""

    condition: str
    film: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CleaningWindow(GuideRow):
    """How long somebody lets cleaned metal wait."""

    whose: str
    window: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PreheatCap(GuideRow):
    """How warm somebody lets the metal be."""

    whose: str
    cap: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupRule(JudgedRow):
    """One rule of the set-up, T01 to T31; ``process`` is a process or ``both``."""

    id: str
    process: str
    rule: str
    if_broken: str
    why: str


def _read[Row](table: str, kind: Callable[..., Row]) -> tuple[Row, ...]:
    return tuple(kind(**_members(row)) for row in rows(table))


def _members(row: Mapping[str, str]) -> dict[str, object]:
    """Return a row with its lists taken apart, and each key checked against the sources."""
    members: dict[str, object] = dict(row)
    members["sources"] = tuple(source(key).key for key in row["sources"].split())
    if "judged" in row:
        members["judged"] = tuple(each for each in row["judged"].split() if each != GUIDE_ONLY)
    return members


PREPARATION_STEPS: Final = _read("cleaning_steps.tsv", PreparationStep)
CLEANING_METHODS: Final = _read("cleaning_methods.tsv", CleaningMethod)
OXIDE_FACTS: Final = _read("oxide_facts.tsv", OxideFact)
CLEANING_WINDOWS: Final = _read("cleaning_windows.tsv", CleaningWindow)
PREHEAT_CAPS: Final = _read("preheat_caps.tsv", PreheatCap)
SETUP_RULES: Final = _read("setup_rules.tsv", SetupRule)
