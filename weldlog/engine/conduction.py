"""How heat spreads from an arc: teaching formulas, never judged on and never shown with digits.

The formulas are good; what goes into them is not. The share of the heat that reaches aluminium
lies anywhere from 0.4 to 0.8 (heat-S15), and a coupon is no endless plate: it warms as a whole.
Aluminium up to 6 mm is always the thin-plate case. Conductivity is in W/(mm K), not in W/(m K).
"""

import math
from dataclasses import dataclass
from typing import Final

from weldlog.engine.sources import Sourced

ADAMS: Final = math.sqrt(2 * math.pi * math.e)
"""The factor of the peak formulas, printed as 4.13 [-]."""

VOLUMETRIC_HEAT_J_MM3_K: Final = Sourced(2700e-9 * 896, "heat-S41")
"""Density times specific heat of aluminium at room temperature [J/(mm³ K)]; its alloys lie within
3 %. It grows by a third up to melting, so that a rise worked out with it is rather too high."""

EFFICIENCIES: Final = (0.4, 0.8)
"""From where to where the share of the heat goes that reaches aluminium [0 to 1]."""


@dataclass(frozen=True, slots=True)
class Plate:
    """A plate of one metal.

    Parameters
    ----------
    thickness_mm : float
        [mm].
    conductivity_w_mm_k : float
        [W/(mm K)].
    volumetric_heat_j_mm3_k : float
        Density times specific heat [J/(mm³ K)].
    start_c : float
        Temperature before welding [degrees C].
    """

    thickness_mm: float
    conductivity_w_mm_k: float = 0.167
    volumetric_heat_j_mm3_k: float = VOLUMETRIC_HEAT_J_MM3_K.value
    start_c: float = 25.0

    @property
    def diffusivity_mm2_s(self) -> float:
        """Conductivity over volumetric heat [mm²/s].

        Source: heat-S38, heat-S41 (CV43), 6061-T6.

        >>> round(Plate(3.2, 0.1662, 2713e-9 * 896).diffusivity_mm2_s, 1)
        68.4
        """
        return self.conductivity_w_mm_k / self.volumetric_heat_j_mm3_k


def thick_plate_c(
    plate: Plate, heat_w: float, speed_mm_s: float, point: tuple[float, float, float]
) -> float:
    """Return the temperature near an arc on the face of a thick plate (Rosenthal) [degrees C].

    Parameters
    ----------
    plate : Plate
    heat_w : float
        Heat that reaches the metal [W].
    speed_mm_s : float
        Of the arc [mm/s].
    point : tuple of float
        Ahead of the arc, beside it, below it; not at the arc itself [mm].

    Source: memory-kou; inputs heat-S51 with the conductivity in W/(mm K) (CV40).

    >>> plate = Plate(25, 0.2042, 0.2042 / 84.18, start_c=200)
    >>> round(thick_plate_c(plate, 0.84 * 20 * 200, 5, (0, 5, 1)), 1)
    641.4
    """
    ahead_mm = point[0]
    distance_mm = math.hypot(*point)
    decay = math.exp(-speed_mm_s * (ahead_mm + distance_mm) / (2 * plate.diffusivity_mm2_s))
    return plate.start_c + heat_w * decay / (2 * math.pi * plate.conductivity_w_mm_k * distance_mm)


def thin_plate_c(
    plate: Plate, heat_w: float, speed_mm_s: float, ahead_mm: float, beside_mm: float
) -> float:
    """Return the temperature near an arc on a plate heated through (Rosenthal) [degrees C].

    Parameters as for a thick plate; the point is not the arc itself.
    Source: memory-kou; coupon H6 of the heat notes, hottest 27.05 mm beside the arc (CV41).

    >>> plate = Plate(3.2, 0.167, 2.419e-3)
    >>> round(max(thin_plate_c(plate, 0.6 * 135 * 14, 5, -behind, 27.05) for behind in range(60)))
    250
    """
    per_mm = speed_mm_s / (2 * plate.diffusivity_mm2_s)
    strength_k = heat_w / (2 * math.pi * plate.conductivity_w_mm_k * plate.thickness_mm)
    reach = bessel_k0(per_mm * math.hypot(ahead_mm, beside_mm))
    return plate.start_c + strength_k * math.exp(-per_mm * ahead_mm) * reach


def bessel_k0(x: float) -> float:
    """Return the modified Bessel function of the second kind and order zero; x above zero.

    The integral of exp(-x cosh t) over t from zero, by the trapezoidal rule, which converges here
    faster than any power of its step.

    Source: Abramowitz and Stegun, table 9.8, from memory: K0(1) = 0.4210244382.

    >>> round(bessel_k0(1), 10)
    0.4210244382
    """
    step = 1 / 32
    total, place = math.exp(-x) / 2, 1
    while (term := math.exp(-x * math.cosh(place * step))) > total * 1e-17:
        total += term
        place += 1
    return total * step


def peak_c(plate: Plate, heat_j_mm: float, from_fusion_mm: float, melting_c: float) -> float:
    """Return the highest temperature beside the fusion line of a thin plate (Adams) [degrees C].

    Parameters
    ----------
    plate : Plate
    heat_j_mm : float
        Heat input that reaches the metal [J/mm].
    from_fusion_mm : float
        Distance from the edge of what melted [mm].
    melting_c : float
        Temperature at that edge [degrees C].

    Source: memory-aws-handbook-heat, steel (CV37).

    >>> round(peak_c(Plate(5, 0.028, 0.0044), 720, 1.5, 1510))
    1184
    """
    melting_k = melting_c - plate.start_c
    spread = _spread_per_k(plate, heat_j_mm) * from_fusion_mm
    return plate.start_c + 1 / (spread + 1 / melting_k)


def distance_mm(plate: Plate, heat_j_mm: float, peak_c: float, melting_c: float) -> float:
    """Return how far from the fusion line a thin plate reaches a peak temperature (Adams) [mm].

    Parameters as for the peak; the peak lies between the start and melting.
    Source: memory-aws-handbook-heat, steel (CV38).

    >>> round(distance_mm(Plate(5, 0.028, 0.0044), 720, 730, 1510), 1)
    5.9
    """
    rise, melting_k = peak_c - plate.start_c, melting_c - plate.start_c
    return (1 / rise - 1 / melting_k) / _spread_per_k(plate, heat_j_mm)


def _spread_per_k(plate: Plate, heat_j_mm: float) -> float:
    return ADAMS * plate.volumetric_heat_j_mm3_k * plate.thickness_mm / heat_j_mm


def relative_thickness(plate: Plate, heat_j_mm: float, at_c: float) -> float:
    """Return the relative thickness [-]: thin below 0.6, thick above 0.9.

    Parameters
    ----------
    plate : Plate
    heat_j_mm : float
        Heat input that reaches the metal [J/mm].
    at_c : float
        Temperature of interest, above the start [degrees C].

    Source: memory-aws-handbook-heat, steel (CV39).

    >>> round(relative_thickness(Plate(6, 0.028, 0.0044), 0.9 * 25 * 300 / 9, 550), 2)
    0.33
    """
    rise = at_c - plate.start_c
    return plate.thickness_mm * math.sqrt(plate.volumetric_heat_j_mm3_k * rise / heat_j_mm)


def cooling_rate_k_s(plate: Plate, heat_j_mm: float, at_c: float) -> float:
    """Return how fast the middle of a weld in a thin plate cools through a temperature [K/s].

    Source: memory-aws-handbook-heat, steel (CV39).

    >>> round(cooling_rate_k_s(Plate(6, 0.028, 0.0044), 0.9 * 25 * 300 / 9, 550), 2)
    7.17
    """
    rise = at_c - plate.start_c
    heat_flow = 2 * math.pi * plate.conductivity_w_mm_k * plate.volumetric_heat_j_mm3_k
    return heat_flow * (plate.thickness_mm / heat_j_mm) ** 2 * rise**3


def bulk_rise_k(heat_kj: float, volume_mm3: float) -> float:
    """Return how much a piece of aluminium warms when no heat is lost [K]: an upper bound.

    Source: identity (CV42): 56.7 kJ, 0.6 of it in 150 x 150 x 3.2 mm.

    >>> round(bulk_rise_k(0.6 * 56.7, 150 * 150 * 3.2), 1)
    195.3
    """
    return 1000 * heat_kj / (VOLUMETRIC_HEAT_J_MM3_K.value * volume_mm3)


def softened_band_mm(
    arc_energy_kj_mm: float, thickness_mm: float, softens_c: float = 250.0, melts_c: float = 582.0
) -> tuple[float, float]:
    """Return from where to where the soft zone beside a weld may reach [mm]: order of magnitude.

    Measured from the fusion line, at the least and the largest share of heat that may reach the
    metal. For instructors, in words, and never to be graded on: the temperature at which metal
    softens in seconds is as uncertain as the share.

    Parameters
    ----------
    arc_energy_kj_mm : float
        Above zero [kJ/mm].
    thickness_mm : float
        Up to about 6 mm, where a coupon is heated through [mm].
    softens_c, melts_c : float
        Peak that softens 6xxx-T6 and where it begins to melt [degrees C].

    Source: memory-aws-handbook-heat; heat notes 5.5, coupon H6.

    >>> [round(each, 1) for each in softened_band_mm(0.378, 3.2)]
    [12.5, 25.0]
    """
    plate = Plate(thickness_mm)
    least, most = (
        distance_mm(plate, 1000 * arc_energy_kj_mm * share, softens_c, melts_c)
        for share in EFFICIENCIES
    )
    return least, most


def melted_area_mm2(
    power_w: float, speed_mm_s: float, melting_j_mm3: float, transfer: float, melting: float = 1.0
) -> float:
    """Return the cross-section that an arc melts [mm²]; with the area for the speed, the speed.

    Parameters
    ----------
    power_w, speed_mm_s : float
        Electrical power, and speed of the arc above zero [W, mm/s].
    melting_j_mm3 : float
        Heat that melts a volume of the metal [J/mm³].
    transfer, melting : float
        Share of the power that reaches the metal, and share of that which melts it [0 to 1].

    Source: heat-S11 (CV34).

    >>> round(melted_area_mm2(40 * 400, 4, 20, 0.8, 0.3), 9)
    48.0
    """
    return transfer * melting * power_w / (melting_j_mm3 * speed_mm_s)
