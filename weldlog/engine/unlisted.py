"""What a typed designation says that is not in the tables: another metal, or another alloy."""

import re
from functools import lru_cache
from typing import Final

_WORDS: Final = (
    (r"stainless|inox", "stainless steel"),
    (r"steel|iron", "steel"),
    (r"copper|brass|bronze", "a copper alloy"),
    (r"titanium", "titanium"),
    (r"magnesium alloy|magnesium|az(?:31|61|91)\w?", "magnesium"),
    (r"nickel|inconel|monel", "a nickel alloy"),
)
_BASES: Final = (
    *_WORDS,
    (r"(?:aisi|sae|ss|type)?[ -]*(?:30[1-9]|31[067]|321|347|4[0-4]0)(?:[lhn]|ti)?", _WORDS[0][1]),
    (r"astm a ?36|a36|s[ -]?(?:235|275|355)\w*|dc0\d|corten", "steel"),
    (r"c[ -]?1[0-2]\d{1,3}|c26000|c36000", "a copper alloy"),
)
_STAINLESS_WIRE: Final = r"er[ -]?(?:2|3|4)\d\d[a-z]*|(?:308|309|316|347|410)[lh](?:si)?"
_WIRES: Final = (
    *_WORDS,
    (r"(?:er?)?[ -]?(?:[4-9]|1[0-2])\d(?:s|c|t\d?)(?:-\w+)*", "steel"),
    (r"e[67]0[12]\d(?:-\w+)*|g ?3si1|g ?4si1", "steel"),
    (_STAINLESS_WIRE, "stainless steel"),
    (r"e?r?cu[a-z]\S*|ercu", "a copper alloy"),
    (r"er[ -]?ni\S*", "a nickel alloy"),
    (r"er[ -]?ti\S*", "titanium"),
    (r"er[ -]?(?:az|ez)\S*", "magnesium"),
)
_DESIGNATION: Final = re.compile(
    r"(?:EN\s*)?(?:A[AWCL])?[\s-]*(?P<name>(?:[1-8]\d{3}[A-Z]?)|(?:[A-Z]?[1-8]\d\d(?:\.\d)?))"
    r"(?:[\s-]*[OFHTW]\d*[A-Z]?)?(?:\s*[\[(].*)?"
)
#: The alloy groups of the designation systems, from memory of the registers.
_WROUGHT: Final = {
    "1": "almost pure aluminum",
    "2": "an alloy with copper",
    "3": "an alloy with manganese",
    "4": "an alloy with silicon",
    "5": "an alloy with magnesium",
    "6": "an alloy with magnesium and silicon",
    "7": "an alloy with zinc",
    "8": "an alloy with other elements",
}
_CAST: Final = {
    "1": "a casting of almost pure aluminum",
    "2": "a casting with copper",
    "3": "a casting with silicon and copper or magnesium",
    "4": "a casting with silicon",
    "5": "a casting with magnesium",
    "6": "a casting of a series that is not used",
    "7": "a casting with zinc",
    "8": "a casting with tin",
}
_DIE_CAST: Final = re.compile(r"[A-D]?(?:360|380|383|384|390|413|518)(?:\.\d)?")

NOT_FUSED: Final = (
    "{metal} is not aluminum, and fusion welding does not join the two: where they melt together, "
    "brittle compounds form and the weld breaks."
)


def _match(typed: str, kinds: tuple[tuple[str, str], ...], *, words: bool) -> str | None:
    text = typed.strip().lower()
    if "alum" in text:
        return None
    for pattern, metal in kinds:
        if re.fullmatch(pattern, text):
            return metal
    if words:
        return next((metal for each, metal in _WORDS if re.search(rf"\b(?:{each})\b", text)), None)
    return None


@lru_cache(maxsize=1024)
def other_metal(typed: str) -> str | None:
    """Return the metal that a base metal is where it is not aluminum, None where none is told.

    >>> other_metal("mild steel"), other_metal("316L"), other_metal("319"), other_metal("6060")
    ('steel', 'stainless steel', None, None)
    """
    return _match(typed, _BASES, words=True)


@lru_cache(maxsize=1024)
def other_wire(typed: str) -> str | None:
    """Return the metal that a filler is where it is not aluminum, None where none is told.

    By the way the classes of other metals are written, from memory of their standards.

    >>> other_wire("ER70S-6"), other_wire("ER308L"), other_wire("ERCuSi-A"), other_wire("ER4043")
    ('steel', 'stainless steel', 'a copper alloy', None)
    """
    return _match(typed, _WIRES, words=True)


@lru_cache(maxsize=1024)
def designation(typed: str | None) -> str | None:
    """Return the designation of an aluminum alloy in what was typed, None where there is none.

    >>> designation("EN AW-6060 T66"), designation("a380.0"), designation("unknown")
    ('6060', 'A380.0', None)
    """
    found = _DESIGNATION.fullmatch((typed or "").strip().upper())
    return found["name"] if found and not other_metal(typed or "") else None


def die_cast(typed: str | None) -> bool:
    """Whether a designation is one of the common alloys for die casting; from memory."""
    name = designation(typed)
    return bool(name and _DIE_CAST.fullmatch(name))


def not_listed(name: str) -> str:
    """Say what a designation tells that the tables do not hold, and what to do next.

    >>> not_listed("6060").split(". ")[1]
    'By its number it is an alloy with magnesium and silicon'
    """
    digits = name.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    cast = "." in name or len(digits) == 3
    group = (_CAST if cast else _WROUGHT)[digits[0]]
    return (
        f"{name} is not in our tables. By its number it is {group}. Take its composition from "
        "the certificate or the maker's data sheet, and ask your instructor which alloy of the "
        "tables comes nearest."
    )
