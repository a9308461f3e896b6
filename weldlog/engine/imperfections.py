"""The inspection family: what was seen on the weld, by its ISO 6520-1 number."""

from collections.abc import Iterator
from typing import Final

from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.imperfection_list import IMPERFECTIONS, find, is_crack

__all__ = ["IMPERFECTIONS", "RULES", "check", "find", "is_crack"]

CRACK: Final = Rule(
    id="inspection-crack",
    severity="stop",
    says="A crack was found. No crack is accepted, whatever its size: show it to your instructor, "
    "find out why it cracked, and make the coupon again.",
    source="prep-S2",
    fields=("imperfections",),
)
UNKNOWN_NUMBER: Final = Rule(
    id="inspection-number-unknown",
    severity="advise",
    says="Imperfection {number} is not in the classroom list, so nothing is said about its causes "
    "or its limit. Check the number in the imperfection guide.",
    source="prep-S23",
    fields=("imperfections.number",),
)
PENETRANT: Final = Rule(
    id="inspection-penetrant",
    severity="warn",
    says="The penetrant test showed indications. A line is never accepted and a round pore only up "
    "to 1.5 mm: show it to your instructor, and log each one as an imperfection with its size.",
    source="prep-S2",
    fields=("penetrant",),
)
RULES: Final[tuple[Rule, ...]] = (CRACK, PENETRANT, UNKNOWN_NUMBER)


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Judge what was seen on the weld; limits of size belong to ``acceptance``."""
    if case.facts.penetrant == "indications":
        yield PENETRANT.found(measured="indications")
    seen = case.facts.imperfections
    if seen is None:
        yield NotAssessed("imperfections", ("imperfections",))
        return
    if any(is_crack(each.number) for each in seen):
        yield CRACK.found()
    unknown = dict.fromkeys(each.number for each in seen if find(each.number) is None)
    for number in unknown:
        yield UNKNOWN_NUMBER.found(measured=number, number=number)
