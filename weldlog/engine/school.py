"""What a school may set about the rules."""

import hashlib
import json
from dataclasses import asdict, dataclass
from typing import Annotated, Final

from weldlog.engine.reading import Above, read_members


@dataclass(frozen=True, slots=True, kw_only=True)
class SchoolRules:
    """The settings of a school that change a review.

    Parameters
    ----------
    cleaning_window_h : float
        Hours from cleaning to the arc within which nothing is said [h]; source prep-S1.
    cleaning_redo_h : float
        Hours after which everything is done again [h]; common practice, no source.
    dcen_with_helium : bool
        Whether GTAW on DCEN with helium is taught at this school.
    """

    cleaning_window_h: Annotated[float, Above(0)] = 4.0
    cleaning_redo_h: Annotated[float, Above(0)] = 8.0
    dcen_with_helium: bool = False

    def hash(self) -> str:
        """Return the short hash that is stored beside the edition [16 hexadecimal digits]."""
        text = json.dumps(asdict(self), sort_keys=True, separators=(",", ":"))
        return hashlib.sha256(text.encode()).hexdigest()[:16]


DEFAULT: Final = SchoolRules()


def read_rules(document: object) -> SchoolRules:
    """Read the settings of a school from a JSON object.

    Raises
    ------
    weldlog.engine.reading.Unreadable
        When a member is unknown or of the wrong kind.
    """
    return read_members(SchoolRules, document, path="rules")
