"""What a person types for a number: decimals, a unit behind it, a fraction, minutes and seconds."""

import re

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

# The engine's units, and the ways to write each behind a number, in lower case.
_WAYS = {
    "mm/s": ("mm/s",),
    "mm/min": ("mm/min",),
    "m/min": ("m/min",),
    "in/min": ("in/min", "ipm"),
    "mm": ("mm",),
    "cm": ("cm",),
    "in": ("in", "inch", "inches", '"', "”"),
    "s": ("s", "sec"),
    "min": ("min",),
    "L/min": ("l/min", "lpm"),
    "ft3/h": ("cfh", "scfh"),
    "kJ": ("kj",),
    "J": ("j",),
    "kW": ("kw",),
    "W": ("w",),
    "A": ("a", "amp", "amps"),
    "V": ("v", "volt", "volts"),
    "Hz": ("hz",),
    "%": ("%",),
    "°C": ("°c", "c"),
    "°F": ("°f", "f"),
    "": ("°",),
}
_WRITTEN = {way: unit for unit, ways in _WAYS.items() for way in ways}
_LONGEST_FIRST = sorted(_WRITTEN, key=len, reverse=True)
_UNIT_TAIL = re.compile(
    rf"(.*[0-9.,])\s*({'|'.join(map(re.escape, _LONGEST_FIRST))})\.?", re.IGNORECASE
)
_CLOCK = re.compile(
    r"""([0-9]{1,3})\s*(?::|m|min|')\s*([0-5]?[0-9](?:[.,][0-9]+)?)\s*(?:s|sec|"|'')?""",
    re.IGNORECASE,
)
_FRACTION = re.compile(r"(?:([0-9]{1,3})[\s-]+)?([0-9]{1,3})\s*/\s*([0-9]{1,3})")
_NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)")


def parse_number(text: str) -> float:
    """Read a number as it is typed: ``3.5``, ``3,5``, ``1 200``, ``14 V``.

    Raises
    ------
    ValidationError
        With a sentence that says what is wrong and how to type it.
    """
    bare = re.sub(r"\s", "", split_unit(text)[0]).replace("\u2212", "-")
    point = bare.replace(",", ".")
    if "," in bare and "." in bare:
        raise ValidationError(
            _("%(text)s has both marks. Use one, for the decimals, and none between thousands."),
            "both_marks",
            {"text": text},
        )
    if point.count(".") > 1:
        first, *rest = re.split(r"\.+", point)
        example = f"{first or 0}.{''.join(rest) or 0}"
        raise ValidationError(
            _("Two decimal marks: %(text)s. Type it like %(example)s."),
            "two_marks",
            {"text": text, "example": example},
        )
    if len(point) > 20 or not _NUMBER.fullmatch(point):
        raise ValidationError(
            _("“%(text)s” is not a number. Type digits, such as 14.5 or 14,5."),
            "not_a_number",
            {"text": text[:40]},
        )
    return float(point)


def split_unit(text: str) -> tuple[str, str | None]:
    """Return what stands before a unit, and the engine's name of the unit; None where none is."""
    found = _UNIT_TAIL.fullmatch(text.strip())
    return (found[1], _WRITTEN[found[2].lower()]) if found else (text.strip(), None)


def parse_time_span(text: str) -> float | None:
    """Read minutes and seconds such as ``1:33`` or ``1 min 33 s`` [s]; None where it is neither."""
    found = _CLOCK.fullmatch(text.strip())
    if found is None:
        return None
    return int(found[1]) * 60 + float(found[2].replace(",", "."))


def parse_fraction(text: str) -> float | None:
    """Read a fraction such as ``3/32`` or ``1 1/8``; None where it is none."""
    found = _FRACTION.fullmatch(text.strip())
    if found is None or int(found[3]) == 0:
        return None
    return int(found[1] or 0) + int(found[2]) / int(found[3])
