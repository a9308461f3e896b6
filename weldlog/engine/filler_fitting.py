"""What of a sentence on fillers fits what the part is for.

The tables say in one sentence what each filler is chosen for. Where the part serves warm or is
heat treated, or where its metal cannot be, some of its clauses would mislead.
"""

import re
from functools import lru_cache
from typing import Final

from weldlog.engine.alloys import WARM_SERVICE_MG, Alloy
from weldlog.engine.facts import Service
from weldlog.engine.filler_metals import FILLERS

_NAMES: Final = re.compile(r"\b\d{4}A?\b")


@lru_cache(maxsize=8192)
def fitting(text: str, sides: tuple[Alloy, Alloy], service: Service) -> str:
    """Return the clauses of a text that fit the bases and the service, empty where none does.

    A clause is left out where every filler that it names is ruled out by the service, and where
    it speaks of a heat treatment that the bases do not answer to.

    >>> from weldlog.engine.alloys import ALLOYS
    >>> both = (ALLOYS["6061"], ALLOYS["6061"])
    >>> fitting("4043 for flow; 5356 for strength.", both, Service(above_65_c=True))
    '4043 for flow.'
    """
    kept = [each for each in text.split("; ") if _fits(each, sides, service)]
    if not kept:
        return ""
    joined = "; ".join(kept).rstrip(".")
    return f"{joined[0].upper()}{joined[1:]}."


def _fits(clause: str, sides: tuple[Alloy, Alloy], service: Service) -> bool:
    if "treated" in clause and not all(side.heat_treatable for side in sides):
        return False
    named = [FILLERS[each] for each in _NAMES.findall(clause) if each in FILLERS]
    rich = bool(named) and all(each.nominal.mg > WARM_SERVICE_MG for each in named)
    treated = service.heat_treated_after and any(side.heat_treatable for side in sides)
    return not (rich and (service.above_65_c or treated))
