"""The formulas of the metal balance: what the filler makes of a weld, and what the weld holds.

One cross-section of the weld is looked at, so that lengths drop out: the wire that is fed in a
second is spread over the millimeters that the arc travels in it.
"""

import math
from typing import Final, NamedTuple

from weldlog.engine.sources import Sourced

DEPOSITION_EFFICIENCY: Final = Sourced(0.97, "practice")
"""Share of a GMAW wire that stays in the weld: 0.95 to 0.98 in spray, the rest is spatter and
fume. Short-circuit and pulsed transfer lose a little more. A GTAW rod stays whole, less its stub.
"""

LEG_SOFT: Final = (0.75, 1.33)
LEG_HARD: Final = (0.5, 2.0)
"""Measured over expected leg [-]; worked out from heat-S25, whose own rows differ by that."""
AREA_SOFT: Final = (LEG_SOFT[0] ** 2, LEG_SOFT[1] ** 2)
"""The same for metal, which goes with the square of the leg [-]."""


def wire_area_mm2(diameter_mm: float) -> float:
    """Return the cross-section of a wire or rod [mm²].

    Source: identity (CV24).

    >>> round(wire_area_mm2(1.2), 6)
    1.130973
    """
    return math.pi * diameter_mm**2 / 4


def deposited_area_mm2(
    wire_feed_mm_s: float,
    diameter_mm: float,
    travel_speed_mm_s: float,
    deposition_efficiency: float = DEPOSITION_EFFICIENCY.value,
) -> float:
    """Return the cross-section of the metal that one run adds [mm²].

    Parameters
    ----------
    wire_feed_mm_s, travel_speed_mm_s : float
        Speeds of the wire and of the arc; the latter above zero [mm/s].
    diameter_mm : float
        Of the wire [mm].
    deposition_efficiency : float
        Share of the wire that stays in the weld [0 to 1].

    Source: identity (CV25), 1.2 mm wire at 9 m/min, 500 mm/min.

    >>> round(deposited_area_mm2(150, 1.2, 500 / 60), 3)
    19.747
    """
    volume_mm3_s = deposition_efficiency * wire_feed_mm_s * wire_area_mm2(diameter_mm)
    return volume_mm3_s / travel_speed_mm_s


def fillet_leg_mm(area_mm2: float, bulge: float = 0.0) -> float:
    """Return the leg of the equal-leg fillet that an area makes [mm].

    Parameters
    ----------
    area_mm2 : float
        Cross-section of the metal [mm²].
    bulge : float
        Metal above the flat face and in the gap, as a share of the triangle; 0 to about 0.3.

    Source: identity (CV25).

    >>> round(fillet_leg_mm(19.747), 2), round(fillet_leg_mm(19.747, 0.15), 2)
    (6.28, 5.86)
    """
    return math.sqrt(2 * area_mm2 / (1 + bulge))


def wire_feed_for_leg_mm_s(
    leg_mm: float,
    diameter_mm: float,
    travel_speed_mm_s: float,
    deposition_efficiency: float = DEPOSITION_EFFICIENCY.value,
) -> float:
    """Return the wire feed that makes a flat equal-leg fillet in one run [mm/s].

    Source: identity (CV26): leg 5 mm, 1.2 mm wire, 500 mm/min take 5.70 m/min.

    >>> round(wire_feed_for_leg_mm_s(5, 1.2, 500 / 60) * 0.06, 2)
    5.7
    """
    wire_mm2 = deposition_efficiency * wire_area_mm2(diameter_mm)
    return leg_mm**2 / 2 * travel_speed_mm_s / wire_mm2


def segment_area_mm2(chord_mm: float, height_mm: float) -> float:
    """Return the area of a circular segment over a chord; below zero for one below it [mm²].

    Source: identity (CV31), for any height.

    >>> round(segment_area_mm2(6 * 2**0.5, 1), 2), round(segment_area_mm2(2, -1), 4)
    (5.72, -1.5708)
    """
    height = abs(height_mm)
    if height <= chord_mm / 1000:
        # So flat an arc is a parabola to seven digits, and the circle would lose them.
        return 2 / 3 * chord_mm * height_mm
    radius = (chord_mm**2 / 4 + height**2) / (2 * height)
    half_angle = 2 * math.atan2(2 * height, chord_mm)
    area = radius**2 * (half_angle - math.sin(half_angle) * math.cos(half_angle))
    return math.copysign(area, height_mm)


def fillet_area_mm2(leg_1_mm: float, leg_2_mm: float, convexity_mm: float = 0.0) -> float:
    """Return the cross-section of a fillet: its triangle, and the segment over its face [mm²].

    Parameters
    ----------
    leg_1_mm, leg_2_mm : float
        Legs as measured [mm].
    convexity_mm : float
        Height of the face over the line from toe to toe; below zero for a hollow one [mm].

    Source: identity (CV31).

    >>> fillet_area_mm2(6, 6), round(fillet_area_mm2(6, 6, 1), 2)
    (18.0, 23.72)
    """
    face_mm = math.hypot(leg_1_mm, leg_2_mm)
    return leg_1_mm * leg_2_mm / 2 + segment_area_mm2(face_mm, convexity_mm)


class GrooveShape(NamedTuple):
    """The cross-section of a square or single-V groove.

    Parameters
    ----------
    thickness_mm, root_gap_mm, root_face_mm : float
        A root face as high as the plate leaves a square groove [mm].
    angle_deg : float
        Included angle, below 180 [degrees].
    """

    thickness_mm: float
    root_gap_mm: float
    angle_deg: float = 0.0
    root_face_mm: float = 0.0

    @property
    def flank_mm(self) -> float:
        """How far one flank leans away from the root [mm]."""
        height_mm = max(0.0, self.thickness_mm - self.root_face_mm)
        return height_mm * math.tan(math.radians(self.angle_deg / 2))

    @property
    def width_mm(self) -> float:
        """Width at the surface of the plate [mm].

        >>> round(GrooveShape(6, 1.5, 60, 1.5).width_mm, 3)
        6.696
        """
        return self.root_gap_mm + 2 * self.flank_mm

    @property
    def area_mm2(self) -> float:
        """Area that flush weld metal fills, b t + (t - c)² tan(A / 2) [mm²].

        Source: identity (CV27), the same as the test tool weldx has it.

        >>> round(GrooveShape(6, 1.5, 60, 1.5).area_mm2, 4), GrooveShape(3, 1.5).area_mm2
        (20.6913, 4.5)
        """
        height_mm = max(0.0, self.thickness_mm - self.root_face_mm)
        return self.root_gap_mm * self.thickness_mm + height_mm * self.flank_mm


def rod_length_mm(area_mm2: float, weld_length_mm: float, diameter_mm: float) -> float:
    """Return the length of rod that a weld takes, stubs not counted [mm].

    Source: identity (CV32): leg 3.2 mm, 150 mm long, 2.4 mm rod.

    >>> round(rod_length_mm(fillet_area_mm2(3.2, 3.2), 150, 2.4), 1)
    169.8
    """
    return area_mm2 * weld_length_mm / wire_area_mm2(diameter_mm)


def rod_area_mm2(rod_used_mm: float, weld_length_mm: float, diameter_mm: float) -> float:
    """Return the cross-section of the metal that a length of rod adds to a weld [mm²].

    >>> round(rod_area_mm2(169.77, 150, 2.4), 2)
    5.12
    """
    return wire_area_mm2(diameter_mm) * rod_used_mm / weld_length_mm


def burn_off_mm3_per_a_s(wire_feed_mm_s: float, diameter_mm: float, current_a: float) -> float:
    """Return the volume of wire melted per second and amp [mm³/(A s)]; the current above zero.

    Source: heat-S25, whose rows give 0.97 to 1.14.

    >>> round(burn_off_mm3_per_a_s(10800 / 60, 1.2, 190), 2)
    1.07
    """
    return wire_feed_mm_s * wire_area_mm2(diameter_mm) / current_a


def wire_feed_for_current_mm_s(current_a: float, diameter_mm: float, burn_off: float) -> float:
    """Return the wire feed that a current melts at a burn-off [mm/s].

    A straight line through nothing: in aluminium the stick-out heats too little to bend it
    (heat-S48).

    Parameters
    ----------
    current_a, diameter_mm : float
        Current and wire [A, mm].
    burn_off : float
        About 1.06 for aluminium, 0.75 to 1.35 by alloy [mm³/(A s)].

    Source: worked out from heat-S25 (CV33): 200 A melt 11.2 m/min of 1.2 mm wire.

    >>> round(wire_feed_for_current_mm_s(200, 1.2, 1.06) * 0.06, 2)
    11.25
    """
    return burn_off * current_a / wire_area_mm2(diameter_mm)
