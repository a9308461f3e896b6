"""The few shapes that every drawing of an imperfection is made of, on a sheet of 160 by 100.

A section shows plates, their top at 38 and their underside at 66, and the weld between them, cut
across. A view from above or from the root side shows the bead lying along the sheet, made from left
to right. Nothing here knows of HTML; what a role looks like stands in ``static/css/drawing.css``.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import cos, radians, sin
from typing import Final, Literal

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

type Role = Literal[
    "plate",
    "weld",
    "ripple",
    "edge",
    "wanted",
    "measure",
    "air",
    "hole",
    "inside",
    "fault",
    "alien",
    "smut",
]
"""What a part is.

``plate`` and ``weld`` are metal, ``ripple`` and ``edge`` lines on it. ``air`` is where no metal is.
``wanted`` is where a surface or an edge should lie, ``measure`` an arrow or a dimension.
The imperfection itself is a ``hole`` (a hollow or a crack), a hole ``inside`` that is not open to
the eye, a ``fault`` (the heavy line of a surface or an edge that is wrong), ``alien`` metal that
does not belong there, or ``smut`` on the surface.
"""


@dataclass(frozen=True, slots=True)
class Part:
    """One or more lines or areas of one role; ``path`` is an SVG path."""

    role: Role
    path: str


SHEET: Final = "0 0 160 100"
CLOSE: Final = "24 10 112 70"
"""The middle of the sheet, for what is small on a section; of the sheet's shape, as any other."""


@dataclass(frozen=True, slots=True)
class View:
    """One view: where it is seen from, what it shows in a sentence, its parts, and its cut-out."""

    seen: Promise
    says: Promise
    parts: tuple[Part, ...]
    box: str = SHEET


@dataclass(frozen=True, slots=True)
class Drawing:
    """The views of a kind; ``telling`` is the one that stands alone where there is little room."""

    views: tuple[View, ...]
    telling: int = 0

    @property
    def small(self) -> View:
        """The view that tells the kind from all others."""
        return self.views[self.telling]


# --- where it is seen from


def across(says: Promise, *parts: Part, box: str = CLOSE) -> View:
    """Return a section across the weld."""
    return View(_("Cut across the weld"), says, parts, box)


def along(says: Promise, *parts: Part, box: str = SHEET) -> View:
    """Return a section along the middle of the weld."""
    return View(_("Cut along the weld"), says, parts, box)


def above(says: Promise, *parts: Part) -> View:
    """Return the weld from above."""
    return View(_("From above"), says, parts)


def through(says: Promise, *parts: Part) -> View:
    """Return the weld from above with what lies inside."""
    return View(_("From above, as an X-ray shows it"), says, parts)


def root_side(says: Promise, *parts: Part) -> View:
    """Return the weld from its root side."""
    return View(_("From the root side"), says, parts)


# --- sections


def plate(top: float = 38, under: float = 66, left: float = 28, right: float = 132) -> Part:
    """Return a plate in section, broken off at both ends."""
    half = (under - top) / 2
    end = f"q-3 {half / 2:g} 0 {half:g}t0 {half:g}"
    start = f"q3 {-half / 2:g} 0 {-half:g}t0 {-half:g}"
    return Part("plate", f"M{left:g} {top:g}H{right:g}{end}H{left:g}{start}z")


def block(top: float, bottom: float, left: float = 4, right: float = 156) -> Part:
    """Return a piece of plate with straight edges."""
    return Part("plate", f"M{left:g} {top:g}H{right:g}V{bottom:g}H{left:g}z")


def weld(path: str) -> Part:
    """Return weld metal."""
    return Part("weld", path)


CROWN: Final = "M56 38Q80 27 104 38"
ROOT: Final = "L86 66Q80 73 74 66z"
WELD: Final = weld(CROWN + ROOT)
BUTT: Final = (plate(), WELD)
WIDE_BUTT: Final = (plate(left=4, right=156), WELD)

# A tee joint: the corner lies at 62, 68; a leg of the size wanted is 34 long.
UPRIGHT: Final = Part("plate", "M44 68V8q4.5-3 9 0t9 0V68z")
TEE: Final = (plate(68, 86, 4, 156), UPRIGHT)
FILLET: Final = (*TEE, weld("M62 34Q81 49 96 68Q80 75 58 72Q56 52 62 34z"))
FILLET_WANTED: Final = Part("wanted", "M62 34L96 68")

# A run cut along its middle, on a plate; it ends in a crater round 112, 40.
_RUN: Final = "M4 31q5-2.5 10 0t10 0 10 0 10 0 10 0 10 0 10 0 10 0"
CRATER: Final = (
    block(38, 74),
    weld(f"{_RUN}C98 32 102 40 112 40Q120 40 126 38Q120 60 98 60H4z"),
)
# A butt weld cut along its middle is weld metal from face to root.
LENGTHWAYS: Final = weld(f"M4 31{'q5-2.5 10 0t10 0' * 7}q5-2.5 12 0V69H4z")


# --- from above, and from the root side


def bead(top: float = 35, bottom: float = 65, left: float = 10, right: float = 150) -> Part:
    """Return a bead from above, round at both ends."""
    half = (bottom - top) / 2
    turn = f"a{half:g} {half:g} 0 0 1 0"
    return Part(
        "weld",
        f"M{left + half:g} {top:g}H{right - half:g}{turn} {2 * half:g}"
        f"H{left + half:g}{turn} {-2 * half:g}z",
    )


def ripples(
    places: Iterable[float] = range(27, 137, 9), top: float = 35, bottom: float = 65
) -> Part:
    """Return the ripples of a bead: each the tail that the pool left behind."""
    half = (bottom - top) / 2
    lines = (f"M{x:g} {top:g}q{-0.9 * half:g} {half:g} 0 {2 * half:g}" for x in places)
    return Part("ripple", "".join(lines))


JOINT: Final = Part("edge", "M4 50H10M150 50H156")
FIELD: Final = block(10, 90)
PLAIN_BEAD: Final = (FIELD, JOINT, bead())
BEAD: Final = (*PLAIN_BEAD, ripples())
ROOT_BEAD: Final = (FIELD, JOINT, bead(42, 58), ripples(range(22, 144, 9), 42, 58))
# The end of a run, large: its crater lies round 104, 50.
RUN_END: Final = (
    FIELD,
    weld("M4 24H104a26 26 0 0 1 0 52H4z"),
    ripples(range(20, 86, 11), 24, 76),
    Part("ripple", "M104 31a19 19 0 1 0 .1 0zM104 37a13 13 0 1 0 .1 0z"),
)
UPRIGHT_EDGE: Final = block(10, 28)


def fillet_above(
    toe: float, ripple_places: Iterable[float] = range(18, 156, 10)
) -> tuple[Part, ...]:
    """Return a fillet from above, from the upright's edge down to its toe on the flat plate."""
    return (
        FIELD,
        UPRIGHT_EDGE,
        weld(f"M4 28H156V{toe:g}H4z"),
        ripples(ripple_places, 28, toe),
    )


# --- marks


def dots(*places: tuple[float, float, float]) -> str:
    """Return the path of round spots, each by its middle and its radius."""
    return "".join(
        f"M{x - r:g} {y:g}a{r:g} {r:g} 0 1 0 {2 * r:g} 0 {r:g} {r:g} 0 1 0 {-2 * r:g} 0z"
        for x, y, r in places
    )


def arrow(x: float, y: float, degrees: float, length: float = 14) -> str:
    """Return the path of an arrow that points at a place; 0 degrees comes from the right."""
    out, one, other = (radians(degrees + turn) for turn in (0, 26, -26))
    return (
        f"M{x + length * cos(out):.1f} {y - length * sin(out):.1f}L{x:g} {y:g}"
        f"M{x + 4.5 * cos(one):.1f} {y - 4.5 * sin(one):.1f}L{x:g} {y:g}"
        f"L{x + 4.5 * cos(other):.1f} {y - 4.5 * sin(other):.1f}"
    )


def fault(path: str) -> Part:
    """Return the heavy line of what is wrong."""
    return Part("fault", path)


def hole(path: str) -> Part:
    """Return a hollow or a crack, solid."""
    return Part("hole", path)


def inside(path: str) -> Part:
    """Return a hole under the surface, an open ring."""
    return Part("inside", path)


def alien(path: str) -> Part:
    """Return metal that does not belong there, hatched."""
    return Part("alien", path)


def wanted(path: str) -> Part:
    """Return where a surface or an edge should lie, dashed."""
    return Part("wanted", path)


def air(path: str) -> Part:
    """Return a place without metal, where a plate or a weld was drawn before."""
    return Part("air", path)


def measure(path: str) -> Part:
    """Return arrows and dimensions."""
    return Part("measure", path)


def edge(path: str) -> Part:
    """Return a plain visible edge."""
    return Part("edge", path)
