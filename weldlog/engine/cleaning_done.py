"""What was done to clean a coupon, without the times of day.

Thousands of coupons share a few ways of cleaning, so that what follows from the steps alone is
judged once for each way and remembered.
"""

from collections.abc import Sequence
from operator import attrgetter
from typing import Final, Literal, NamedTuple

from weldlog.engine.facts import Agent, CleaningStep, Pressure, Step, Stroke, Tool, ToolKeptFor

REMEMBERED: Final = 4096
"""Ways of cleaning whose findings are kept in memory."""

FLAMMABLE: Final = frozenset({"acetone", "alcohol"})
"""Solvents that burn, and that dry off by themselves where they were wiped on thinly."""

type Happened = Step | Literal["evaporated", "etch"]


class Done(NamedTuple):
    """One cleaning step without its time and its minutes.

    ``step`` is ``evaporated`` where nobody logged a drying and the times tell of one.
    """

    step: Step | Literal["evaporated"]
    agent: Agent | None = None
    tool: Tool | None = None
    tool_kept_for: ToolKeptFor | None = None
    pressure: Pressure | None = None
    stroke: Stroke | None = None

    @property
    def dries(self) -> bool:
        """Whether the metal is dry after it."""
        return self.step in ("dry", "evaporated")


EVAPORATED: Final = Done("evaporated")
_members: Final = attrgetter(*Done._fields)


def done(steps: Sequence[CleaningStep]) -> tuple[Done, ...]:
    """Return the steps without their times.

    >>> done([CleaningStep(step="dry", minutes=5)])[0].step
    'dry'
    """
    return tuple([Done._make(_members(step)) for step in steps])


def is_etch(step: Done) -> bool:
    """Return whether a step is an etch, which has no tool that anybody could name."""
    return step.agent in ("acid_etch", "caustic_etch")


def chlorinated(steps: Sequence[Done]) -> bool:
    """Return whether a chlorinated solvent was used: then nothing is said about waiting."""
    return any(step.agent == "chlorinated" for step in steps)
