"""How a butt joint was prepared: can the arc reach its root?

Common practice for aluminum, no source. What was welded may still have fused to the root, so that
nothing is stopped; the inspection judges what came of it.
"""

from collections.abc import Iterator
from typing import Final

from weldlog.engine.facts import Facts, Process
from weldlog.engine.findings import Finding, Rule
from weldlog.engine.written import in_units

CLOSED_BELOW_MM: Final = 0.5
"""Root gap below which a joint counts as closed [mm]."""

THICKEST_CLOSED_MM: Final[dict[Process, float]] = {"GTAW": 5.0, "GMAW": 6.4}
"""Thickest closed square butt that one run from one side is asked to fuse through [mm]."""

NARROWEST_DEG: Final = 50.0
"""Angle that a V groove has at least, both bevels together [degrees]."""

THICKEST_FACE_MM: Final = 3.0
"""Root face that a V groove has at most, and never more than half the plate [mm]."""

SQUARE_CLOSED: Final = Rule(
    id="setup-square-groove-closed",
    severity="warn",
    says="One run on a closed square butt of {thickness_text} hardly fuses to the root; in one run "
    "up to about {wanted_text} is usual. Bevel the edges, or cut the back out to sound metal and "
    "weld it too.",
    source="practice",
    fields=("weld", "base_metals.thickness_mm", "root_gap_mm", "runs"),
)
GROOVE_NARROW: Final = Rule(
    id="setup-groove-narrow",
    severity="warn",
    says="A V groove of {angle_text} is too narrow for the arc to reach its root, so it may not "
    "fuse there. In aluminum {wanted_text} or more is usual, most often 60 to 90°.",
    source="practice",
    fields=("groove.angle_deg",),
)
ROOT_FACE_THICK: Final = Rule(
    id="setup-root-face-thick",
    severity="warn",
    says="A root face of {face_text} is thick for the arc to melt through, so the root may stay "
    "open. Up to {wanted_text} is usual here; bevel deeper, or cut the back out and weld it too.",
    source="practice",
    fields=("groove.root_face_mm", "base_metals.thickness_mm"),
)
RULES: Final = (SQUARE_CLOSED, GROOVE_NARROW, ROOT_FACE_THICK)


def check_joint(facts: Facts) -> Iterator[Finding]:
    """Judge the preparation of a square butt or a V groove; what was not logged is not asked for.

    Parameters
    ----------
    facts : Facts
    """
    if facts.weld == "square_groove":
        yield from _square(facts)
    elif facts.weld == "v_groove" and facts.groove is not None:
        yield from _angle(facts.groove.angle_deg)
        yield from _root_face(facts, facts.groove.root_face_mm)


def _thinnest(facts: Facts) -> float | None:
    known = [side.thickness_mm for side in facts.base_metals or () if side.thickness_mm]
    return min(known, default=None)


def _square(facts: Facts) -> Iterator[Finding]:
    thickness, gap = _thinnest(facts), facts.root_gap_mm
    if facts.runs != 1 or thickness is None or gap is None or gap >= CLOSED_BELOW_MM:
        return
    most = THICKEST_CLOSED_MM[facts.process]
    if thickness > most:
        yield SQUARE_CLOSED.found(
            measured=thickness,
            limit=most,
            thickness_text=in_units(thickness, "mm", unlike=most),
            wanted_text=in_units(most, "mm"),
        )


def _angle(angle_deg: float | None) -> Iterator[Finding]:
    if angle_deg is not None and angle_deg < NARROWEST_DEG:
        yield GROOVE_NARROW.found(
            measured=angle_deg,
            limit=NARROWEST_DEG,
            angle_text=in_units(angle_deg, "°", unlike=NARROWEST_DEG),
            wanted_text=in_units(NARROWEST_DEG, "°"),
        )


def _root_face(facts: Facts, face_mm: float | None) -> Iterator[Finding]:
    thickness = _thinnest(facts)
    most = THICKEST_FACE_MM if thickness is None else min(THICKEST_FACE_MM, thickness / 2)
    if face_mm is not None and face_mm > most:
        yield ROOT_FACE_THICK.found(
            measured=face_mm,
            limit=most,
            face_text=in_units(face_mm, "mm", unlike=most),
            wanted_text=in_units(most, "mm"),
        )
