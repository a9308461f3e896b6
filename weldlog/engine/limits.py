"""One limit of a set: what it asks of an imperfection, and how that reads.

A limit of a size is at most ``base_mm + factor x of``, and at most ``cap_mm`` [mm]; equality
accepts.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, fields
from typing import Annotated, Final, Literal

from weldlog.engine.reading import Above, AtLeast
from weldlog.engine.sources import Standing, source
from weldlog.engine.written import in_units, plain

JudgedBy = Literal[
    "never",
    "never_in_butt",
    "never_after_penetrant",
    "allowed",
    "look_up",
    "size",
    "undersize",
    "root_depth",
    "length",
    "porosity_area",
]
Reference = Literal["thickness", "throat", "throat_or_thickness", "face_width", "leg"]
Confidence = Literal["H", "M", "L"]

_LENGTH: Final = ("percent_of_length", "in_any_mm")
_SIZE: Final = ("base_mm", "factor", "of", "cap_mm", *_LENGTH)
TAKES: Final[Mapping[JudgedBy, tuple[str, ...]]] = {
    "never": (),
    "never_in_butt": (),
    "never_after_penetrant": (),
    "allowed": (),
    "look_up": (),
    "size": _SIZE,
    "undersize": _SIZE,
    "root_depth": ("cap_mm",),
    "length": _LENGTH,
    "porosity_area": ("percent",),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What a limit asks; which members go with which way to judge stands in ``TAKES``.

    Parameters
    ----------
    judged_by : str
        ``never`` and ``allowed`` whatever the size; ``never_in_butt`` in a butt joint;
        ``never_after_penetrant`` where a penetrant test showed it; ``look_up`` by a person;
        ``size`` by height, depth or diameter, logged or measured (of number 5213 the throat);
        ``undersize`` by what the fillet lacks of the leg wanted; ``root_depth`` so that the weld
        is nowhere thinner than the plate; ``length`` by how much of the weld has it;
        ``porosity_area`` by the share of the face that pores take up.
    base_mm, cap_mm : float or None
        The part that goes with no size, and the most in any case [mm].
    factor, of : float, str or None
        The part that goes with ``thickness`` t of the thinner side, ``throat`` a and ``leg`` z
        wanted of a fillet, ``throat_or_thickness`` (s or a: the throat of a fillet, the thickness
        of a butt joint taken as fully penetrated), or ``face_width`` b of the weld.
    percent : float or None
        Most of the face that pores may take up [%].
    percent_of_length, in_any_mm : float or None
        Most of the weld that may have it [%], counted in any such length of weld [mm], or over
        the whole weld. "Short" in ISO 10042 is 25 % in any 100 mm (from memory).
    """

    judged_by: JudgedBy
    base_mm: Annotated[float, AtLeast(0)] | None = None
    factor: Annotated[float, Above(0)] | None = None
    of: Reference | None = None
    cap_mm: Annotated[float, Above(0)] | None = None
    percent: Annotated[float, AtLeast(0)] | None = None
    percent_of_length: Annotated[float, Above(0)] | None = None
    in_any_mm: Annotated[float, Above(0)] | None = None


TERMS: Final = tuple(each.name for each in fields(Terms))


def fault_of(terms: Terms) -> str | None:
    """Return what is wrong with the members of a limit, in words, or None."""
    takes = TAKES[terms.judged_by]
    given = {name for name in TERMS[1:] if getattr(terms, name) is not None}
    if stray := sorted(given - set(takes)):
        return f'"{terms.judged_by}" takes no {stray[0]}'
    if "base_mm" in takes and not given & {"base_mm", "factor"}:
        return f'"{terms.judged_by}" needs base_mm, or factor and of'
    if len(given & {"factor", "of"}) == 1:
        return "factor and of go together"
    if terms.judged_by == "porosity_area" and "percent" not in given:
        return '"porosity_area" needs percent'
    if (terms.judged_by == "length" or "in_any_mm" in given) and "percent_of_length" not in given:
        return "percent_of_length is missing"
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit(Terms):
    """One row of a set.

    Parameters
    ----------
    id : str
        Its name everywhere, for example ``iso10042-c-Q11``; a school confirms it by this.
    set : str
        The set that it belongs to.
    imperfections : tuple of str
        ISO 6520-1 numbers, or keys of the classroom list.
    source : str
        Key of the source.
    above_mm, to_mm : float or None
        Thickness of the thinner side that it is for [mm]; ``to_mm`` itself belongs to it.
    unsure_above_mm : float or None
        Size from which on the log does not tell whether it is accepted [mm].
    confidence : str or None
        Of what is remembered: ``H`` sure, ``M`` well but not checked, ``L`` unsure; None where
        it was read.
    must_be_confirmed : bool
        Whether it is silent until the school confirms it.
    note : str
        What the numbers leave open.
    """

    id: str
    set: str
    imperfections: tuple[str, ...]
    source: str
    above_mm: float | None = None
    to_mm: float | None = None
    unsure_above_mm: float | None = None
    confidence: Confidence | None = None
    must_be_confirmed: bool = False
    note: str = ""

    @property
    def row(self) -> str:
        """Its row in the notes that it was taken from, for example ``Q11``."""
        return self.id[len(self.set) + 1 :]

    @property
    def standing(self) -> Standing:
        """The standing of its source: read, memory, practice or doubtful."""
        return source(self.source).standing

    def speaks(self, confirmed: Collection[str]) -> bool:
        """Return whether verdicts may rest on it, given the ids that the school confirmed."""
        if not self.must_be_confirmed:
            return True
        return self.confidence != "L" and self.id in confirmed

    def is_for(self, thickness_mm: float | None) -> bool | None:
        """Return whether it is for this thickness, None where that cannot be told."""
        if self.above_mm is None and self.to_mm is None:
            return True
        if thickness_mm is None:
            return None
        over = self.above_mm is None or thickness_mm > self.above_mm
        return over and (self.to_mm is None or thickness_mm <= self.to_mm)

    @property
    def words(self) -> str:
        """The limit in words.

        >>> Limit(id="x", set="x", imperfections=("5011",), source="practice", judged_by="size",
        ...       factor=0.1, of="thickness", note="at the toe").words
        'up to 0.1 × thickness; at the toe'
        """
        said = _WORDS.get(self.judged_by) or _amount(self)
        kept = (said, _length(self), _thickness(self), self.note)
        return "; ".join(each for each in kept if each)


_WORDS: Final[Mapping[JudgedBy, str]] = {
    "never": "none",
    "never_in_butt": "none in a butt joint",
    "never_after_penetrant": "none where penetrant shows it",
    "allowed": "allowed",
    "look_up": "look it up",
}
_REFERENCES: Final[Mapping[Reference, str]] = {
    "thickness": "thickness",
    "throat": "throat wanted",
    "throat_or_thickness": "throat wanted (butt joint: thickness)",
    "face_width": "width of the weld face",
    "leg": "leg wanted",
}


def _amount(limit: Limit) -> str:
    base = None if limit.base_mm is None else in_units(limit.base_mm, "mm")
    share = f"{limit.factor:g} × {_REFERENCES[limit.of]}" if limit.factor and limit.of else None
    most = " + ".join(each for each in (base, share) if each)
    cap = "" if limit.cap_mm is None else f"at most {in_units(limit.cap_mm, 'mm')}"
    match limit.judged_by:
        case "undersize":
            return f"up to {most} under the leg wanted" + (f", {cap}" if cap else "")
        case "root_depth":
            return "the weld nowhere thinner than the plate" + (f", {cap}" if cap else "")
        case "porosity_area":
            return f"pores on up to {plain(limit.percent or 0)} percent of the face"
        case "size":
            return f"up to {most}" + (f", {cap}" if cap else "")
    return ""


def _length(limit: Limit) -> str:
    if limit.percent_of_length is None:
        return ""
    share = f"on up to {plain(limit.percent_of_length)} percent of the length"
    return (
        share if limit.in_any_mm is None else f"{share}, in any {in_units(limit.in_any_mm, 'mm')}"
    )


def _thickness(limit: Limit) -> str:
    if limit.above_mm is None and limit.to_mm is None:
        return ""
    over = None if limit.above_mm is None else f"over {in_units(limit.above_mm, 'mm')}"
    to = None if limit.to_mm is None else f"up to {in_units(limit.to_mm, 'mm')}"
    return f"for metal {' and '.join(each for each in (over, to) if each)}"
